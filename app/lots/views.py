"""Pages of the lots area."""

from flask import Blueprint

bp = Blueprint("lots", __name__)
