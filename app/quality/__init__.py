"""Measuring: gauges, readings, what is decided about bad pieces, and what the readings say."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask


def init_app(app: "Flask") -> None:
    """Refuse sign-offs whose readings are missing."""
    from app.lots.services import check_entries  # noqa: PLC0415 - models can be used without the web
    from app.quality.services import refuse_unmeasured  # noqa: PLC0415 - the same

    check_entries(refuse_unmeasured)
