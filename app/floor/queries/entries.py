"""What was recorded at a station lately, for looking at it and undoing it."""

from collections.abc import Iterable
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.floor.errors import EntryNotFoundError
from app.lots.models import Entry, Lot, LotOperation, Place, Posting, Verb
from app.lots.queries.names import lot_name
from app.parts.models import Revision
from app.people.models import Person
from app.shared.words import gettext

SHOWN = 20


@dataclass(frozen=True, slots=True)
class RecentEntry:
    """One posting of the station in words; ``undone`` says that a later one reversed it."""

    posting: Posting
    what: str
    about: str
    undone: bool

    def is_by(self, person: Person) -> bool:
        """Say whether this person did it or wrote it down."""
        return person.id in {self.posting.person_id, self.posting.recorded_by_id}


def recent_entries(session: orm.Session, station_id: int) -> list[RecentEntry]:
    """Return what was last recorded at a station, the newest first; a fixed number of statements."""
    undoing = orm.aliased(Posting)
    undone = sa.exists().where(undoing.reverses_id == Posting.id)
    rows = session.execute(
        sa.select(Posting, undone)
        .where(Posting.station_id == station_id)
        .order_by(Posting.recorded_at.desc(), Posting.id.desc())
        .limit(SHOWN)
        .options(
            orm.joinedload(Posting.person),
            orm.selectinload(Posting.entries).options(
                orm.joinedload(Entry.lot).joinedload(Lot.revision).joinedload(Revision.part),
                orm.joinedload(Entry.from_operation),
                orm.joinedload(Entry.to_operation),
            ),
        )
    )
    return [RecentEntry(posting, _what(posting), _about(posting.entries), was_undone) for posting, was_undone in rows]


def get_entry(session: orm.Session, station_id: int, posting_id: int) -> Posting:
    """Return one posting of a station.

    Raises:
        EntryNotFoundError: the station has none with this key.
    """
    found = session.get(Posting, posting_id)
    if found is None or found.station_id != station_id:
        raise EntryNotFoundError
    return found


def _what(posting: Posting) -> str:
    words = {
        Verb.BEGIN_SETUP: gettext("Set-up begun"),
        Verb.FIRST_PIECE: gettext("First piece good"),
        Verb.BEGIN_RUN: gettext("Run begun"),
        Verb.COUNT: gettext("Counted so far"),
        Verb.PAUSE: gettext("Paused"),
        Verb.HAND_OVER: gettext("Handed over"),
        Verb.SEND_AHEAD: gettext("Sent ahead"),
        Verb.SIGN_OFF: gettext("Signed off"),
        Verb.RECORD_LATE: gettext("Recorded late"),
        Verb.SCRAP: gettext("Scrapped"),
        Verb.BACK_TO_VENDOR: gettext("Back to the vendor"),
        Verb.HOLD: gettext("Held"),
        Verb.RELEASE_HOLD: gettext("Released"),
        Verb.REWORK: gettext("Sent back to rework"),
        Verb.SPLIT: gettext("Split"),
        Verb.USE_COMPONENT: gettext("Component used"),
        Verb.UNDO: gettext("Undone"),
    }
    return words.get(posting.verb, posting.verb.value)


def _about(entries: Iterable[Entry]) -> str:
    """Return lot, operation and pieces: ``L00417C op 20: 47 good, 3 scrap``."""
    by_place: dict[tuple[str, int], dict[str, int]] = {}
    for entry in entries:
        operation = entry.from_operation or entry.to_operation
        counts = by_place.setdefault((lot_name(entry.lot), operation.number if operation else 0), {})
        word = _pieces_word(entry, operation)
        if entry.quantity:
            counts[word] = counts.get(word, 0) + entry.quantity
    return "; ".join(_in_words(lot, number, counts) for (lot, number), counts in by_place.items())


def _pieces_word(entry: Entry, operation: LotOperation | None) -> str:
    if entry.to_place is Place.SCRAPPED:
        return gettext("scrap")
    if entry.to_place is Place.AT_VENDOR:
        return gettext("back to the vendor")
    if entry.to_place is Place.HELD:
        return gettext("held")
    if entry.to_operation is not None and operation is not None and entry.to_operation.number < operation.number:
        return gettext("to rework")
    passed = entry.to_place is Place.IN_STOCK or (operation is not None and entry.to_operation not in {None, operation})
    return gettext("good") if passed else gettext("pieces")


def _in_words(lot: str, number: int, counts: dict[str, int]) -> str:
    where = gettext("%(lot)s op %(number)s", lot=lot, number=number) if number else lot
    pieces = ", ".join(f"{count} {word}" for word, count in counts.items())
    return f"{where}: {pieces}" if pieces else where
