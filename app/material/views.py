"""Pages of the material area."""

from flask import Blueprint

bp = Blueprint("material", __name__)
