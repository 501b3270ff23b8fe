"""Pages of lots: the list, one lot, its release and its traveler."""

from flask import Blueprint

bp = Blueprint("lots", __name__)

from app.lots.views import (  # noqa: E402, F401 - they register their routes on bp
    changes,
    cover,
    lots,
    pieces,
    release,
    touched,
    travelers,
)
