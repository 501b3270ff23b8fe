"""What the app is told of parts when it is put together."""

from flask import Flask

from app.parts.queries import checking_words, limits_words, nominal_words, recording_words
from app.parts.services import add_default_kinds
from app.parts.views import bp
from app.shared.typed import plain, typed_minutes, typed_ms
from app.shared.units import shown_weight
from app.stations.wiring import on_setup


def init_app(app: Flask) -> None:
    """Register the area's pages, how its times are written, and the kinds of operation a new shop begins with."""
    app.register_blueprint(bp)
    on_setup(app, add_default_kinds)
    app.jinja_env.filters.update(
        checking_words=checking_words,
        cycle_time=typed_ms,
        limits_words=limits_words,
        nominal_words=nominal_words,
        plain=plain,
        recording_words=recording_words,
        setup_minutes=typed_minutes,
        shown_weight=shown_weight,
    )
