"""Parts, revisions, blanks and routings."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask
    from sqlalchemy.orm import Session


def _add_usual_kinds(session: "Session") -> None:
    from app.parts.services import add_default_kinds  # noqa: PLC0415 - see init_app

    add_default_kinds(session)


def init_app(app: "Flask") -> None:
    """Register the area's pages, how its times are written, and the kinds of operation a new shop begins with."""
    # Imported here because models can be used without the web.
    from app.parts.queries import checking_words, limits_words, nominal_words, recording_words  # noqa: PLC0415
    from app.parts.views import bp  # noqa: PLC0415
    from app.shared.typed import plain, typed_minutes, typed_ms  # noqa: PLC0415
    from app.shared.units import shown_weight  # noqa: PLC0415
    from app.stations import on_setup  # noqa: PLC0415

    app.register_blueprint(bp)
    on_setup(app, _add_usual_kinds)
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
