"""The area's blueprint, which each module of pages adds to."""

from flask import Blueprint

bp = Blueprint("stations", __name__)
