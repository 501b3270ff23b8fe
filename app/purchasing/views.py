"""Pages of the purchasing area."""

from flask import Blueprint

bp = Blueprint("purchasing", __name__)
