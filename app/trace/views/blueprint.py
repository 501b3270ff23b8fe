"""The area's blueprint."""

from flask import Blueprint

bp = Blueprint("trace", __name__)
