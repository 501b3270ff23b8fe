"""The one place that asks what time it is; everything else takes the time as an argument."""

from collections.abc import Callable
from datetime import UTC, datetime

Clock = Callable[[], datetime]


def utc_now() -> datetime:
    """Return the present as an aware time in UTC."""
    return datetime.now(UTC)
