"""Pages of the parts area."""

from flask import Blueprint

bp = Blueprint("parts", __name__)
