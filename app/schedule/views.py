"""Pages of the schedule area."""

from flask import Blueprint

bp = Blueprint("schedule", __name__)
