"""Lotwright: from a customer order to a signed-off lot. ``create_app`` is the one place that knows every area."""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from flask import Flask

    from app.config import Config


def create_app(config: "Config | None" = None, **settings: Any) -> "Flask":
    """Make the web app for one database; ``settings`` are further Flask settings, such as a test's ``CLOCK``.

    The imports stand inside so that ``app.core`` and ``app.bootstrap`` can be used without a web framework.
    """
    from app.assembly import assemble  # noqa: PLC0415 - see the docstring

    return assemble(config, **settings)
