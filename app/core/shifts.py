"""The shifts of a station one by one: which one runs, which was the last, which comes next."""

from datetime import date, timedelta
from typing import Final, NamedTuple

from app.core.calendar_hours import OpenHours
from app.core.worktime import Span

LOOK_DAYS: Final = 28
"""A shop that is closed for longer than this has no last shift and no next one."""


class Shifts(NamedTuple):
    """The shifts around a moment; None where there is none within LOOK_DAYS."""

    last: Span | None
    current: Span | None
    coming: tuple[Span, ...]


def shift_spans(hours: OpenHours, first: date, days: int) -> list[Span]:
    """Return the shifts that start on the ``days`` local days from ``first`` on, in order, whatever is down.

    Shifts that follow each other stay apart. Overtime that touches a shift makes it longer, up to the next one; other
    overtime is a shift of its own.
    """
    plain = sorted({span for at in range(days) for span in hours.shifts_on(first + timedelta(days=at))})
    begin, end = hours.midnight(first), hours.midnight(first + timedelta(days=days))
    spans = [span for span in plain if span.start < span.end]
    for overtime in sorted(span for span in hours.overtime if begin <= span.start < end):
        spans = _with_overtime(spans, overtime)
    following = [span.start for span in spans[1:]]
    return [Span(span.start, min(span.end, after)) for span, after in zip(spans, [*following, end * 2], strict=False)]


def _with_overtime(spans: list[Span], overtime: Span) -> list[Span]:
    for at, span in enumerate(spans):
        if overtime.start <= span.end and span.start <= overtime.end:
            longer = Span(min(span.start, overtime.start), max(span.end, overtime.end))
            return sorted([*spans[:at], longer, *spans[at + 1 :]])
    return sorted([*spans, overtime])


def shifts_around(hours: OpenHours, now: int) -> Shifts:
    """Return the shift that runs at ``now``, the one that began before it, and those that come."""
    today = hours.local(now).date()
    spans = shift_spans(hours, today - timedelta(days=LOOK_DAYS), 2 * LOOK_DAYS)
    begun = [span for span in spans if span.start <= now]
    current = begun[-1] if begun and now < begun[-1].end else None
    before = begun[:-1] if current else begun
    return Shifts(before[-1] if before else None, current, tuple(span for span in spans if span.start > now))


def end_of_shift(hours: OpenHours, now: int) -> int | None:
    """Return when the shift that runs at ``now`` ends; None where none runs."""
    current = shifts_around(hours, now).current
    return current.end if current else None


def next_morning(hours: OpenHours, now: int) -> int | None:
    """Return when the first shift of a later local day begins; None where none does within LOOK_DAYS."""
    today = hours.local(now).date()
    coming = shifts_around(hours, now).coming
    return next((span.start for span in coming if hours.local(span.start).date() > today), None)
