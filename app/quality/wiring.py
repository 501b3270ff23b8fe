"""What the app is told of quality when it is put together."""

from flask import Flask

from app.core.measures import rounded
from app.extensions import db
from app.lots.services import check_entries
from app.parts.queries import quality_switches
from app.quality.queries import (
    bar_percent,
    characteristic_name,
    nonconformance_name,
    reading_words,
    standing_words,
)
from app.quality.services import refuse_undone_decision, refuse_unmeasured
from app.quality.views import bp


def init_app(app: Flask) -> None:
    """Register the area's pages and words, and refuse sign-offs whose readings are missing."""
    app.register_blueprint(bp)
    app.jinja_env.globals["quality_shows"] = lambda: quality_switches(db.session)
    check_entries(refuse_unmeasured)
    check_entries(refuse_undone_decision)
    app.jinja_env.filters["dimension"] = rounded
    for shown in (bar_percent, characteristic_name, nonconformance_name, reading_words, standing_words):
        app.jinja_env.filters[shown.__name__] = shown
