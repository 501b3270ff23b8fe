"""Measuring: gauges, readings, what is decided about bad pieces, and what the readings say."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from flask import Flask


def init_app(app: "Flask") -> None:
    """Register the area's pages."""
