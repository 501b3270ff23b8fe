"""The blueprint of the floor area."""

from flask import Blueprint

bp = Blueprint("floor", __name__)
