"""The one place that asks what time it is; what decides anything takes the time as an argument."""

from collections.abc import Callable
from datetime import UTC, datetime

from flask import current_app

Clock = Callable[[], datetime]


def utc_now() -> datetime:
    """Return the present as an aware time in UTC."""
    return datetime.now(UTC)


def current_time() -> datetime:
    """Return the present by the app's clock (tests and the demo set their own)."""
    clock: Clock = current_app.config.get("CLOCK", utc_now)
    return clock()
