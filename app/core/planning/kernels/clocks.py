"""Open time at the second that is dealt with, ``now``: it only grows, so each calendar keeps the span where it is.

The questions of ``spans``, answered without a search; as they are asked most, they look at the spans themselves.
"""

from app.core.planning.arrays import (
    F_CALENDARS_COUNT,
    K_CLOCK,
    K_END,
    K_FIRST,
    SP_CLOSES,
    SP_OPENS,
    SPAN_COLUMNS,
    Packed,
    State,
)
from app.core.planning.kernels.rows import calendar_at


def set_clocks(p: Packed, s: State) -> None:
    """Put every calendar at its beginning."""
    for calendar in range(p[F_CALENDARS_COUNT]):
        row = calendar_at(p, calendar)
        s[p[row + K_CLOCK]] = p[row + K_FIRST] if p[row + K_FIRST] < p[row + K_END] else -1


def span_now(p: Packed, s: State, calendar: int, now: int) -> int:
    """Return the first span that ends after ``now``, or -1; never ask for an earlier second again."""
    here = p[calendar + K_CLOCK]
    at = s[here]
    if at < 0 or p[at + SP_CLOSES] > now:
        return at
    last = p[calendar + K_END]
    while at < last and p[at + SP_CLOSES] <= now:
        at += SPAN_COLUMNS
    s[here] = at if at < last else -1
    return s[here]


def span_later(p: Packed, s: State, calendar: int, now: int, second: int) -> int:
    """Return the first span that ends after ``second``, not before ``now``, or -1: mostly it is one of the next."""
    at = span_now(p, s, calendar, now)
    last = p[calendar + K_END]
    while 0 <= at < last and p[at + SP_CLOSES] <= second:
        at += SPAN_COLUMNS
    return at if at < last else -1


def open_now(p: Packed, s: State, calendar: int, now: int) -> bool:
    """Tell whether ``now`` is open."""
    at = span_now(p, s, calendar, now)
    return at >= 0 and p[at + SP_OPENS] <= now


def open_later(p: Packed, s: State, calendar: int, now: int, second: int) -> bool:
    """Tell whether ``second``, which is not before ``now``, is open."""
    at = span_later(p, s, calendar, now, second)
    return at >= 0 and p[at + SP_OPENS] <= second


def closing_now(p: Packed, s: State, calendar: int, now: int) -> int:
    """Return when the span closes that is open now; ``now`` itself when none is."""
    at = span_now(p, s, calendar, now)
    return p[at + SP_CLOSES] if at >= 0 and p[at + SP_OPENS] <= now else now


def next_opening(p: Packed, s: State, calendar: int, now: int) -> int:
    """Return the first opening after ``now``, or -1."""
    at = span_now(p, s, calendar, now)
    if at >= 0 and p[at + SP_OPENS] <= now:
        at += SPAN_COLUMNS
    return p[at + SP_OPENS] if 0 <= at < p[calendar + K_END] else -1
