"""Pages of the review area."""

from flask import Blueprint

bp = Blueprint("review", __name__)

from app.review.views import components, morning, search  # noqa: E402, F401 - they register their routes on bp
