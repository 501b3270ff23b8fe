"""Measuring: gauges, readings, what is decided about bad pieces, and what the readings say."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask


def init_app(app: "Flask") -> None:
    """Register the area's pages and words, and refuse sign-offs whose readings are missing."""
    from app.core.measures import rounded  # noqa: PLC0415 - models can be used without the web
    from app.extensions import db  # noqa: PLC0415 - the same
    from app.lots.services import check_entries  # noqa: PLC0415 - models can be used without the web
    from app.parts.queries import quality_switches  # noqa: PLC0415 - the same
    from app.quality.queries import (  # noqa: PLC0415 - the same
        bar_percent,
        characteristic_name,
        nonconformance_name,
        reading_words,
        standing_words,
    )
    from app.quality.services import refuse_undone_decision, refuse_unmeasured  # noqa: PLC0415 - the same
    from app.quality.views import bp  # noqa: PLC0415 - the same

    app.register_blueprint(bp)
    app.jinja_env.globals["quality_shows"] = lambda: quality_switches(db.session)
    check_entries(refuse_unmeasured)
    check_entries(refuse_undone_decision)
    app.jinja_env.filters["dimension"] = rounded
    for shown in (bar_percent, characteristic_name, nonconformance_name, reading_words, standing_words):
        app.jinja_env.filters[shown.__name__] = shown
