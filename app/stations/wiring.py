"""What the app is told of stations when it is put together."""

from flask import Flask

from app.stations.services import SetupStep
from app.stations.views import bp, know_the_shop

_STEPS = "lotwright_setup_steps"


def on_setup(app: Flask, step: SetupStep) -> None:
    """Run ``step(session)`` when the shop is set up, in the same transaction.

    A later area calls this in its ``init_app`` to give a new shop what it needs, such as the usual kinds of operation.
    """
    app.extensions.setdefault(_STEPS, []).append(step)


def init_app(app: Flask) -> None:
    """Register the area's pages, show times in the shop's zone, and lead a new shop to the page that sets it up."""
    app.extensions.setdefault(_STEPS, [])
    app.register_blueprint(bp)
    app.before_request(know_the_shop)
