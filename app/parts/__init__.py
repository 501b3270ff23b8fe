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
    from app.parts.views import bp  # noqa: PLC0415
    from app.shared.typed import plain, typed_minutes, typed_ms  # noqa: PLC0415
    from app.shared.units import shown_weight  # noqa: PLC0415
    from app.stations import on_setup  # noqa: PLC0415

    app.register_blueprint(bp)
    on_setup(app, _add_usual_kinds)
    app.jinja_env.filters.update(
        cycle_time=typed_ms, setup_minutes=typed_minutes, shown_weight=shown_weight, plain=plain
    )
