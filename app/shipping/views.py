"""Pages of the shipping area."""

from flask import Blueprint

bp = Blueprint("shipping", __name__)
