"""The area's blueprint; the modules beside this one add their pages to it."""

from flask import Blueprint

bp = Blueprint("parts", __name__)
