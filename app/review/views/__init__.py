"""Pages of the review area."""

from flask import Blueprint

bp = Blueprint("review", __name__)

from app.review.views import components  # noqa: E402, F401 - registers its routes on bp
