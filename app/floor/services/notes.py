"""Notes left on lots, stations and shifts; and who has seen what the last shift left."""

from dataclasses import dataclass
from datetime import UTC, datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.floor.errors import NoShiftError, NoteNotFoundError
from app.floor.models import HandOverSeen, Note
from app.floor.services.sent import Sent, said, working
from app.lots.errors import KeyReusedError
from app.lots.queries import get_lot
from app.shared.database import lock_row, transaction
from app.stations.queries import get_station, station_shifts
from app.stations.services import Said


@dataclass(frozen=True, slots=True)
class NewNote:
    """A text, and what it is about: a lot, or the station it is written at; ``next_shift``: only for the next shift."""

    text: str
    lot_id: int | None = None
    next_shift: bool = False


def leave_note(session: orm.Session, sent: Sent, new: NewNote) -> Note:
    """Leave a note at a station.

    Raises:
        NobodySignedOnError: nobody is signed on.
        LotNotFoundError: there is no such lot.
        NoShiftError: it is for the next shift of a station without shifts.
        KeyReusedError: the key was used for another note.
    """
    with working(session, sent) as act:
        if new.lot_id is not None:
            return note_on_lot(session, said(act), new.lot_id, new.text)
        shift_at = _shift_of(session, sent.station_id, sent.happened_at) if new.next_shift else None
        return _keep(session, said(act), Note(station_id=sent.station_id, shift_at=shift_at, text=new.text))


def note_on_lot(session: orm.Session, by: Said, lot_id: int, text: str) -> Note:
    """Leave a note on a lot.

    Raises:
        LotNotFoundError: there is no such lot.
        KeyReusedError: the key was used for another note.
    """
    with transaction(session):
        get_lot(session, lot_id)
        return _keep(session, by, Note(lot_id=lot_id, text=text))


def _shift_of(session: orm.Session, station_id: int, moment: datetime) -> datetime:
    """Return when the shift began that runs at a moment; between two, the one before."""
    shifts = station_shifts(session, get_station(session, station_id), moment)
    shift = shifts.current or shifts.last
    if shift is None:
        raise NoShiftError
    return datetime.fromtimestamp(shift.start, UTC)


def _keep(session: orm.Session, by: Said, note: Note) -> Note:
    kept = session.scalars(sa.select(Note).where(Note.client_key == by.key)).one_or_none()
    if kept is not None:
        if (kept.text, kept.lot_id, kept.station_id) != (note.text, note.lot_id, note.station_id):
            raise KeyReusedError(kept.text)
        return kept
    note.client_key = by.key
    note.person_id = by.person_id or 0
    note.written_at = by.happened_at
    session.add(note)
    session.flush()
    return note


def take_down_note(session: orm.Session, sent: Sent, note_id: int) -> None:
    """Take a note down at a station; it stays on record.

    Raises:
        NobodySignedOnError: nobody is signed on.
        NoteNotFoundError: it is not there any more.
    """
    with working(session, sent) as act:
        end_note(session, said(act), note_id)


def end_note(session: orm.Session, by: Said, note_id: int) -> None:
    """Take a note down; it stays on record. Taken down again by the same person, nothing happens.

    Raises:
        NoteNotFoundError: somebody else took it down, or there is none.
    """
    with transaction(session):
        note = lock_row(session, Note, note_id)
        if note is None or note.taken_down_by_id not in {None, by.person_id}:
            raise NoteNotFoundError
        if note.taken_down_at is None:
            note.taken_down_at, note.taken_down_by_id = by.happened_at, by.person_id


def see_hand_over(session: orm.Session, sent: Sent) -> None:
    """Say that the person signed on has seen what the last shift left; seen twice is seen once.

    Raises:
        NobodySignedOnError: nobody is signed on.
        NoShiftError: the station has no shifts.
    """
    with working(session, sent) as act:
        shift_at = _shift_of(session, sent.station_id, sent.happened_at)
        chosen = sa.select(HandOverSeen.id).where(
            HandOverSeen.station_id == sent.station_id,
            HandOverSeen.shift_at == shift_at,
            HandOverSeen.person_id == act.person_id,
        )
        if session.scalar(chosen) is None:
            session.add(
                HandOverSeen(
                    station_id=sent.station_id, shift_at=shift_at, person_id=act.person_id, seen_at=act.happened_at
                )
            )
