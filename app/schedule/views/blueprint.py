"""The blueprint of the schedule's pages, and what they all show."""

from flask import Blueprint

from app.extensions import db
from app.schedule import queries
from app.shared.clock import current_time

bp = Blueprint("schedule", __name__)


def forecast_age() -> queries.Age | None:
    """Return how old the stored forecast is."""
    return queries.age(db.session, current_time())
