"""Who is together at a station while it is open, and until when: whether there is ever somebody for an operation."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from app.core.planning.layout import CLOSED_S, Layout
from app.core.shop import Crew
from app.core.worktime import Span


@dataclass(frozen=True, slots=True)
class Presence:
    """People who are together at a station while it is attended.

    Attributes:
        setters: how many of them set up; one where it is more.
        tenders: thousandths of those who tend.
        last: the second after which they are not there together any more, as far as calendars are laid out.
        room: the longest time from when they are there to when the station is no longer attended.
        gone: whether they are gone for good after ``last``, as they do not come back for as long as that takes.
    """

    setters: int
    tenders: int
    last: int
    room: int
    gone: bool

    def can(self, setup: int, tend: int, long: int) -> bool:
        """Tell whether they are enough for a run, and long enough before closing where that counts."""
        return (setup == 0 or self.setters > 0) and self.tenders >= tend and self.room >= long


class Presences:
    """The people at each calendar of attended time, each looked through once."""

    def __init__(self, layout: Layout, crews: Sequence[Crew]) -> None:
        self._layout = layout
        self._parts = list(_parts(layout, crews))
        self._known: dict[int, tuple[Presence, ...]] = {}

    def of(self, attended: int) -> tuple[Presence, ...]:
        """Return who is together in a calendar of attended time."""
        if attended not in self._known:
            self._known[attended] = tuple(self._find(self._layout.spans(attended)))
        return self._known[attended]

    def _find(self, spans: Sequence[Span]) -> Iterator[Presence]:
        until: dict[tuple[int, int], int] = {}
        room: dict[tuple[int, int], int] = defaultdict(int)
        at, parts = 0, self._parts
        for opens, closes in spans:
            while parts[at][1] <= opens:
                at += 1
            place = at
            while place < len(parts) and parts[place][0] < closes:
                begins, ends, who = parts[place]
                until[who] = min(ends, closes)
                room[who] = max(room[who], closes - max(begins, opens))
                place += 1
        for (setters, tenders), last in until.items():
            gone = self._layout.until - last >= CLOSED_S
            yield Presence(setters, 1000 * tenders, last, room[setters, tenders], gone)


def _parts(layout: Layout, crews: Sequence[Crew]) -> Iterator[tuple[int, int, tuple[int, int]]]:
    """Yield stretches in which the same crews are there, with whether somebody sets up and how many tend."""
    changes: dict[int, list[int]] = defaultdict(lambda: [0, 0, 0])
    for crew in crews:
        for start, end in layout.spans(layout.plain(crew.calendar)):
            for second, sign in ((start, 1), (end, -1)):
                change = changes[second]
                change[0] += sign
                change[1] += sign * crew.setters
                change[2] += sign * crew.tenders
    there = setters = tenders = since = 0
    for second in sorted(changes):
        if there:
            yield since, second, (min(1, setters), tenders)
        come = changes[second]
        there, setters, tenders, since = there + come[0], setters + come[1], tenders + come[2], second
