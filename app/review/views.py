"""Pages of the review area."""

from flask import Blueprint

bp = Blueprint("review", __name__)
