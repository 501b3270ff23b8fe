"""The blueprint of the quality area."""

from flask import Blueprint

bp = Blueprint("quality", __name__)
