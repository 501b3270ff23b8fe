"""Stretches of time as half-open spans of whole seconds since the Unix epoch, and the set arithmetic on them."""

from collections.abc import Iterable
from typing import NamedTuple


class Span(NamedTuple):
    """The seconds ``[start, end)`` since the Unix epoch (UTC)."""

    start: int
    end: int


def merged(spans: Iterable[Span]) -> list[Span]:
    """Return the union of ``spans`` as ascending spans that neither overlap nor touch; empty ones vanish."""
    union: list[Span] = []
    for start, end in sorted(spans):
        if end <= start:
            continue
        if union and start <= union[-1].end:
            union[-1] = Span(union[-1].start, max(union[-1].end, end))
        else:
            union.append(Span(start, end))
    return union


def clipped(spans: Iterable[Span], window: Span) -> list[Span]:
    """Return what of each of ``spans`` lies inside ``window``, in the order given; what lies outside vanishes."""
    cut = (Span(max(start, window.start), min(end, window.end)) for start, end in spans)
    return [span for span in cut if span.start < span.end]


def without(spans: Iterable[Span], holes: Iterable[Span]) -> list[Span]:
    """Return the union of ``spans`` less the union of ``holes``, as ascending spans that do not touch."""
    kept: list[Span] = []
    gaps = merged(holes)
    first = 0
    for start, end in merged(spans):
        while first < len(gaps) and gaps[first].end <= start:
            first += 1
        at = start
        for hole in gaps[first:]:
            if hole.start >= end:
                break
            if at < hole.start:
                kept.append(Span(at, hole.start))
            at = hole.end
        if at < end:
            kept.append(Span(at, end))
    return kept
