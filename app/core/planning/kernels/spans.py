"""Open time: the same questions as ``app.core.calendars.WorkCalendar`` answers, asked of arrays.

-1 means never: the spans that are laid out do not reach that far.
"""

from app.core.planning.arrays import (
    K_END,
    K_FIRST,
    SP_BEFORE,
    SP_CLOSES,
    SP_OPENS,
    SPAN_COLUMNS,
    Column,
    Packed,
)


def later_than(column: Column, low: int, high: int, value: int) -> int:
    """Return the first place in ``[low, high)`` of an ascending column with more than ``value``, else ``high``."""
    while low < high:
        middle = (low + high) >> 1
        if column[middle] > value:
            high = middle
        else:
            low = middle + 1
    return low


def span_with_more(p: Packed, low: int, high: int, column: int, value: int) -> int:
    """Return the first of the spans in ``[low, high)`` that has more than ``value`` in a column, else ``high``."""
    first, count = low, (high - low) // SPAN_COLUMNS
    while count > 0:
        half = count >> 1
        middle = first + half * SPAN_COLUMNS
        if p[middle + column] > value:
            count = half
        else:
            first = middle + SPAN_COLUMNS
            count -= half + 1
    return first


def span_after(p: Packed, calendar: int, second: int) -> int:
    """Return the first span that ends after ``second``, or -1."""
    last = p[calendar + K_END]
    at = span_with_more(p, p[calendar + K_FIRST], last, SP_CLOSES, second)
    return at if at < last else -1


def next_open(p: Packed, calendar: int, second: int) -> int:
    """Return the first open second at or after ``second``, or -1."""
    at = span_after(p, calendar, second)
    return -1 if at < 0 else max(second, p[at + SP_OPENS])


def closing(p: Packed, calendar: int, second: int) -> int:
    """Return when the span closes that is open at ``second``; ``second`` itself when none is."""
    at = span_after(p, calendar, second)
    return p[at + SP_CLOSES] if at >= 0 and p[at + SP_OPENS] <= second else second


def is_open(p: Packed, calendar: int, second: int) -> bool:
    """Tell whether ``second`` is open."""
    at = span_after(p, calendar, second)
    return at >= 0 and p[at + SP_OPENS] <= second


def finish(p: Packed, calendar: int, start: int, work: int) -> int:
    """Return when ``work`` open seconds from ``start`` on are done, or -1; no work ends at ``start``."""
    return start if work <= 0 else finish_from(p, calendar, span_after(p, calendar, start), start, work)


def finish_from(p: Packed, calendar: int, at: int, start: int, work: int) -> int:
    """Return what ``finish`` does for some work, told the first span that ends after ``start``, or -1 for none."""
    if at < 0:
        return -1
    begin = start if start > p[at + SP_OPENS] else p[at + SP_OPENS]
    if begin + work <= p[at + SP_CLOSES]:
        return begin + work
    total = p[at + SP_BEFORE] + begin - p[at + SP_OPENS] + work
    # The last span with less than ``total`` before it: mostly one of the next, so the steps grow from there.
    end_of_calendar = p[calendar + K_END]
    step = SPAN_COLUMNS
    while at + step < end_of_calendar and p[at + step + SP_BEFORE] < total:
        at += step
        step *= 2
    last = span_with_more(p, at, min(at + step, end_of_calendar), SP_BEFORE, total - 1) - SPAN_COLUMNS
    end = p[last + SP_OPENS] + total - p[last + SP_BEFORE]
    return end if end <= p[last + SP_CLOSES] else -1


def last_opened(p: Packed, calendar: int, second: int) -> int:
    """Return the last span that opens at ``second`` or before; one before the first where there is none."""
    return span_with_more(p, p[calendar + K_FIRST], p[calendar + K_END], SP_OPENS, second) - SPAN_COLUMNS


def last_opened_of(p: Packed, calendar: int, at: int, second: int) -> int:
    """Return what ``last_opened`` does, told the first span that ends after ``second``, or -1 for none."""
    if at < 0:
        return p[calendar + K_END] - SPAN_COLUMNS
    return at if p[at + SP_OPENS] <= second else at - SPAN_COLUMNS


def last_opened_from(p: Packed, calendar: int, at: int, second: int) -> int:
    """Return what ``last_opened`` does, told that of an earlier second: mostly it is one of the next spans."""
    last = p[calendar + K_END] - SPAN_COLUMNS
    while at < last and p[at + SPAN_COLUMNS + SP_OPENS] <= second:
        at += SPAN_COLUMNS
    return at


def open_before(p: Packed, calendar: int, at: int, second: int) -> int:
    """Return the open seconds laid out before ``second``, told the last span that opens by then."""
    if at < p[calendar + K_FIRST]:
        return 0
    end = second if second < p[at + SP_CLOSES] else p[at + SP_CLOSES]
    return p[at + SP_BEFORE] + end - p[at + SP_OPENS]


def open_between(p: Packed, calendar: int, start: int, end: int) -> int:
    """Return the open seconds in ``[start, end)``, which must not end before it starts."""
    first, last = last_opened(p, calendar, start), last_opened(p, calendar, end)
    return open_before(p, calendar, last, end) - open_before(p, calendar, first, start)
