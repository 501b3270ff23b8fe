"""Parts, revisions, blanks and routings."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask


def init_app(app: "Flask") -> None:
    """Register the area's pages, and how its times are written on every page."""
    # Imported here because models can be used without the web.
    from app.parts.views import bp  # noqa: PLC0415
    from app.shared.typed import plain, typed_minutes, typed_ms  # noqa: PLC0415
    from app.shared.units import shown_weight  # noqa: PLC0415

    app.register_blueprint(bp)
    app.jinja_env.filters.update(
        cycle_time=typed_ms, setup_minutes=typed_minutes, shown_weight=shown_weight, plain=plain
    )
