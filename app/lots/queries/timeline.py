"""Where the pieces of a lot lay at each moment, by the books: for entries that are written down after others."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from typing import NamedTuple

from app.lots.models import Entry, Place, Posting
from app.lots.queries.jobs import AT_THE_STATION
from app.shared.words import gettext, moment


class Stand(NamedTuple):
    """Where pieces lie at an operation; those in work or counted lie in the job of a station."""

    operation_id: int
    place: Place
    station_id: int | None = None

    @classmethod
    def of(cls, operation_id: int, place: Place, station_id: int | None) -> "Stand":
        """Return where an end of an entry with this station is."""
        return cls(operation_id, place, station_id if place in AT_THE_STATION else None)


class Change(NamedTuple):
    """How many pieces lie at a stand after a posting, and how many before it."""

    posting: Posting
    before: int
    after: int


class Timeline:
    """The ledger of one lot, read stand by stand; what was undone, and the undoing, is left out."""

    def __init__(self, postings: Iterable[Posting], lot_id: int) -> None:
        """Read a lot's loaded postings, which are in the ledger's order."""
        postings = list(postings)
        undone = {posting.reverses_id for posting in postings if posting.reverses_id}
        self.live = [each for each in postings if not each.reverses_id and each.id not in undone]
        self._changes: defaultdict[Stand, list[Change]] = defaultdict(list)
        for posting in self.live:
            for entry in posting.entries:
                if entry.lot_id == lot_id:
                    self._take(posting, entry)

    def _take(self, posting: Posting, entry: Entry) -> None:
        ends = (entry.from_operation_id, entry.from_place, -1), (entry.to_operation_id, entry.to_place, 1)
        for operation_id, place, sign in ends:
            if operation_id is not None and entry.quantity:
                changes = self._changes[Stand.of(operation_id, place, entry.station_id)]
                before = changes[-1].after if changes else 0
                changes.append(Change(posting, before, before + sign * entry.quantity))

    def stands(self, operation_id: int) -> list[Stand]:
        """Return where pieces of an operation ever lay."""
        return [stand for stand in self._changes if stand.operation_id == operation_id]

    def at(self, stand: Stand, when: datetime) -> int:
        """Return how many pieces lay there at a moment, after all that happened up to it."""
        upto = [each.after for each in self._changes[stand] if each.posting.happened_at <= when]
        return max(0, upto[-1]) if upto else 0

    def from_then_on(self, stand: Stand, when: datetime) -> int:
        """Return how many pieces lay there at a moment and have stayed until now."""
        return min([self.at(stand, when), *(max(0, each.after) for each in self._later(stand, when))])

    def _later(self, stand: Stand, when: datetime) -> Iterator[Change]:
        return (each for each in self._changes[stand] if each.posting.happened_at > when)

    def taker(self, stands: Iterable[Stand], when: datetime) -> Posting | None:
        """Return the first posting after a moment that takes pieces away which lay there then."""
        return self._first(stands, when, lambda stand, change: change.after < min(change.before, self.at(stand, when)))

    def bringer(self, stands: Iterable[Stand], when: datetime) -> Posting | None:
        """Return the first posting after a moment that brings pieces there."""
        return self._first(stands, when, lambda _stand, change: change.after > change.before)

    def _first(
        self, stands: Iterable[Stand], when: datetime, wanted: Callable[[Stand, Change], bool]
    ) -> Posting | None:
        found = [change.posting for stand in stands for change in self._later(stand, when) if wanted(stand, change)]
        return min(found, key=lambda posting: (posting.happened_at, posting.recorded_at, posting.id), default=None)

    def within_the_minute(self, when: datetime) -> datetime:
        """Return the last moment of the books in the minute that ``when`` begins; paper knows no seconds."""
        same = [
            each.happened_at
            for each in self.live
            if when <= each.happened_at and (each.happened_at - when).total_seconds() < 60
        ]
        return max(same, default=when)


def posting_words(posting: Posting) -> str:
    """Name an entry for a person: ``sign off, Wed 7 Jan 14:05, by Ina Brook, at Mill 1``."""
    words = [gettext(posting.verb.value), moment(posting.happened_at)]
    if posting.person is not None:
        words.append(gettext("by %(who)s", who=posting.person.name))
    if posting.station is not None:
        words.append(gettext("at %(station)s", station=posting.station.name))
    return ", ".join(words)
