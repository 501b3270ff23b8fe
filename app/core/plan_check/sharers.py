"""What shares batches: the operations, what waits of them at a moment, and what still goes into a load.

What waits goes by rank into one load until nothing more fits. Ranks are not asked for, so any load will do to which
nothing can be added.
"""

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import inf

from app.core.plan_check.expected import Coming, comings, room
from app.core.plan_check.hands import Moment
from app.core.plan_check.pieces import Stop
from app.core.plan_check.rows import Case, Row
from app.core.shop import Lot, Operation
from app.core.taking import Batch

LOOK = 20
"""A station looks past no more operations than these."""


@dataclass(eq=False, slots=True)
class Sharer:
    """An operation that is done in batches.

    Attributes:
        comings: what comes to it.
        rows: its runs, by start.
        limit: the most pieces that one run of it takes.
        times, states: the seconds in which what waits of it changes, and from then on its pieces and since when.
    """

    lot: Lot
    operation: Operation
    taking: Batch
    comings: list[Coming]
    rows: list[Row]
    limit: float
    times: list[Moment] = field(default_factory=list)
    states: list[tuple[int, int]] = field(default_factory=list)

    def follow(self, now: int) -> None:
        """Reckon what waits of it at any time; what is there ``now`` has waited before."""
        changes = [(one.ready, False, one.pieces) for one in self.comings]
        changes += [(row.run.start, True, -row.run.pieces) for row in self.rows]
        pieces = since = 0
        for second, late, more in sorted(changes):
            if pieces <= 0:
                since = second - (self.operation.waited_s if second <= now else 0)
            pieces += more
            self.times.append((second, late))
            self.states.append((pieces, since))

    def waiting(self, moment: Moment) -> tuple[int, int]:
        """Return how many pieces wait at a moment, and since when; none that are never begun."""
        at = bisect_right(self.times, moment)
        return self.states[at - 1] if at and self.next_row(moment) else (0, 0)

    def next_row(self, moment: Moment) -> Row | None:
        """Return its first run that begins after a moment."""
        return next((row for row in self.rows if (row.run.start, True) > moment), None)

    def mixes_with(self, other: "Sharer") -> bool:
        """Tell whether both can be in one batch."""
        return (self.taking.recipe, self.taking.time_ms) == (other.taking.recipe, other.taking.time_ms)


@dataclass(frozen=True, slots=True)
class Waiting:
    """Pieces of an operation that wait since a second."""

    sharer: Sharer
    pieces: int
    since: int

    @property
    def until(self) -> int:
        """Until when they may wait."""
        return self.since + self.sharer.taking.wait_s

    @property
    def shape(self) -> tuple[int | None, ...]:
        """What is alike in pieces that take each other's room."""
        taking = self.sharer.taking
        return self.pieces, taking.piece_weight_g, taking.max_pieces, taking.max_weight_g


@dataclass(frozen=True, slots=True)
class Filling:
    """What is in a batch, its strictest bounds, and until when it may wait."""

    pieces: int
    grams: int
    most: float
    heaviest: float
    until: float

    @property
    def full(self) -> bool:
        """Whether surely nothing more goes in."""
        return self.pieces >= self.most or self.grams >= self.heaviest

    def and_more(self, sharer: Sharer, pieces: int, since: int | None = None) -> "Filling":
        """Return it with pieces of one more operation, which wait since a second or are still to come."""
        taking = sharer.taking
        return Filling(
            self.pieces + pieces,
            self.grams + pieces * taking.piece_weight_g,
            min(self.most, inf if taking.max_pieces is None else taking.max_pieces),
            min(self.heaviest, inf if taking.max_weight_g is None else taking.max_weight_g),
            self.until if since is None else min(self.until, since + taking.wait_s),
        )

    def takes(self, sharer: Sharer, pieces: int) -> bool:
        """Tell whether so many pieces of an operation still go in."""
        more = self.and_more(sharer, pieces)
        return not self.full and pieces <= sharer.limit and more.pieces <= more.most and more.grams <= more.heaviest


def sharers(case: Case, stops: Mapping[str, list[Stop]], lot: Lot) -> Iterator[Sharer]:
    """Yield the operations of a lot that are done in batches."""
    for index, stop in enumerate(stops[lot.key]):
        taking, coming = stop.operation.taking, comings(case, stops, lot, index)
        if coming and isinstance(taking, Batch):
            most, part = room(taking), stop.most_in_one
            sharer = Sharer(lot, stop.operation, taking, coming, stop.rows, part if most is None else min(most, part))
            sharer.follow(case.shop.now)
            yield sharer


def filling(lead: Sharer, moment: Moment) -> Filling:
    """Return the load that what waits of an operation begins."""
    pieces, since = lead.waiting(moment)
    return Filling(0, 0, inf, inf, inf).and_more(lead, int(min(pieces, lead.limit)), since)


def may_be_waited_for(
    load: Filling, waiting: Sequence[Waiting], sharer: Sharer, coming: Coming, left_out: Sequence[Waiting] = ()
) -> bool:
    """Tell whether a load can be filled with what waits until nothing more goes in, and still takes what comes.

    What may wait longest has to come first in ``waiting``: where that is left out, so is all that takes the same room
    and may wait less, for it would do no better. What is ``left_out`` is not in the load: something else has to take
    its room.
    """
    if coming.ready > load.until or not load.takes(sharer, coming.pieces):
        return False
    fitting = [one for one in waiting if load.takes(one.sharer, one.pieces)]
    if not fitting:
        return not any(load.takes(one.sharer, one.pieces) for one in left_out)
    one, *others = fitting
    if may_be_waited_for(load.and_more(one.sharer, one.pieces, one.since), others, sharer, coming, left_out):
        return True
    others = [other for other in others if other.shape != one.shape]
    fullest = load
    for other in others:
        fullest = fullest.and_more(other.sharer, other.pieces, other.since)
    if fullest.takes(one.sharer, one.pieces):
        return False
    return may_be_waited_for(load, others, sharer, coming, (*left_out, one))
