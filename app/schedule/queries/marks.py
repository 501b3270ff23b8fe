"""What was said at stations about the jobs that are open there, and about those that ended since beside them."""

from collections.abc import Collection
from dataclasses import dataclass, field
from datetime import datetime
from typing import NamedTuple

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, Place, Posting, Verb
from app.lots.queries.jobs import AT_THE_STATION, change_at_station
from app.schedule.queries.hours import second_of
from app.schedule.queries.progress import Mark

Pair = tuple[int, int]
"""An operation and a station."""
_Spot = tuple[Place, int | None]
_PASSED = {Verb.SIGN_OFF, Verb.SEND_AHEAD, Verb.RECORD_LATE}


@dataclass(slots=True)
class Said:
    """What was said about a job, from the posting that began it on.

    Attributes:
        posting_id: that posting, which the jobs of a shared load have in common.
        begun_at: its second.
        marks: each with a number that orders it among those about all jobs.
        came: how many pieces it had in all.
        made: how many of them were made.
    """

    posting_id: int
    begun_at: int
    marks: list[tuple[int, Mark]] = field(default_factory=list)
    came: int = 0
    made: int = 0


def said_by_job(session: orm.Session, pairs: Collection[Pair]) -> dict[Pair, list[Said]]:
    """Read what was said about operations at stations, without what was undone; one statement.

    Each time that an operation was begun at a station is a job of its own; the last of them may be open.
    """
    undoing = orm.aliased(Posting)
    asked = {operation_id for operation_id, _ in pairs}
    rows = session.execute(
        sa.select(
            Entry.station_id,
            Posting.id,
            Posting.verb,
            Posting.happened_at,
            Entry.quantity,
            Entry.from_place,
            Entry.from_operation_id,
            Entry.to_place,
            Entry.to_operation_id,
            Entry.cause_operation_id,
        )
        .join(Entry.posting)
        .where(
            sa.or_(Entry.from_operation_id.in_(asked), Entry.to_operation_id.in_(asked)),
            Entry.station_id.is_not(None),
            sa.func.coalesce(Posting.reverses_id, 0) == 0,
            sa.not_(sa.exists().where(undoing.reverses_id == Posting.id)),
        )
        .order_by(Posting.happened_at, Posting.recorded_at, Entry.id)
    )
    found: dict[Pair, _Fold] = {pair: _Fold(pair[0]) for pair in pairs}
    for order, (station_id, *facts) in enumerate(rows):
        line = _Line(order, *facts)
        for operation_id in {line.from_operation_id, line.to_operation_id}:
            pair = operation_id or 0, station_id or 0
            if pair in found:
                found[pair].go_on(line)
    return {pair: fold.said for pair, fold in found.items()}


def ended_since(session: orm.Session, station_ids: Collection[int], since: datetime) -> set[Pair]:
    """Return the operations of which pieces left some stations since a moment, with the station; one statement."""
    rows = session.execute(
        sa.select(Entry.from_operation_id, Entry.station_id)
        .join(Entry.posting)
        .where(
            Posting.happened_at >= since,
            Entry.station_id.in_(station_ids),
            Entry.from_place.in_(AT_THE_STATION),
        )
    )
    return {(operation_id, station_id) for operation_id, station_id in rows if operation_id and station_id}


class _Line(NamedTuple):
    """One entry."""

    order: int
    posting_id: int
    verb: Verb
    happened_at: datetime
    quantity: int
    from_place: Place
    from_operation_id: int | None
    to_place: Place
    to_operation_id: int | None
    cause_id: int | None

    @property
    def origin(self) -> _Spot:
        return self.from_place, self.from_operation_id

    @property
    def target(self) -> _Spot:
        return self.to_place, self.to_operation_id


@dataclass(slots=True)
class _Fold:
    """What was said about an operation at a station, and the pieces there."""

    operation_id: int
    said: list[Said] = field(default_factory=list)
    there: int = 0

    def go_on(self, line: _Line) -> None:
        """Take in an entry; as in the ledger's own fold a job is open while pieces are there."""
        change = change_at_station(self.operation_id, line.quantity, line.origin, line.target)
        was_open, self.there = self.there > 0, self.there + change
        is_open, second = self.there > 0, second_of(line.happened_at)
        if is_open and not was_open:
            self.said.append(Said(line.posting_id, second))
        if is_open or was_open:
            said = self.said[-1]
            passed = line.verb in _PASSED or line.cause_id is not None
            said.came += max(0, change)
            said.made += line.quantity * _made(self.operation_id, line.origin, line.target, passed=passed)
            said.marks.append((line.order, Mark(line.verb, second, said.made, gone=not is_open)))


def _made(operation_id: int, origin: _Spot, target: _Spot, *, passed: bool) -> int:
    """Return whether an entry makes a piece of an operation at a station one of those made: 1, or -1 for the reverse.

    Made is what is counted, what was passed on, and what was found bad, as something caused it. Other pieces that left
    the job, such as those taken off the machine or found missing, are none of its run any more.
    """
    if (Place.IN_WORK, operation_id) not in (origin, target):
        return 0
    if (Place.COUNTED, operation_id) in (origin, target):
        return 1 if target[0] is Place.COUNTED else -1
    leaves = target[1] != operation_id or target[0] not in AT_THE_STATION
    return int(leaves and origin == (Place.IN_WORK, operation_id) and passed)
