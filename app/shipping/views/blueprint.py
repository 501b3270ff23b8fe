"""The blueprint that all pages of the area are registered on."""

from flask import Blueprint

bp = Blueprint("shipping", __name__)
