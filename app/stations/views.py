"""Pages of the stations area."""

from flask import Blueprint

bp = Blueprint("stations", __name__)
