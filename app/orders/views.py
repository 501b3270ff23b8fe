"""Pages of the orders area."""

from flask import Blueprint

bp = Blueprint("orders", __name__)
