"""What the owners choose about paper files and backups, and what the keeper notes of them."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from pathlib import Path
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.config import ROOT
from app.safekeeping.errors import ForeignIndexError, NoFolderError, NoTimesError, NoWeekdaysError, SharedFolderError
from app.safekeeping.models import Kept, Safekeeping
from app.safekeeping.queries import get_safekeeping, is_foreign_index, next_time
from app.shared.database import lock_row, transaction
from app.shared.errors import PlainError, Problem, RefusedError
from app.shared.folders import usable_folder
from app.stations import queries as station_queries

TRY_AGAIN_AFTER: Final = timedelta(minutes=10)
"""What failed is tried again after so long, until it is done."""
EVERY_DAY: Final = tuple(range(7))


@dataclass(frozen=True, slots=True)
class Wanted:
    """What an owner chose of one of the two; an empty folder turns it off."""

    kept: Kept
    folder: str
    times: tuple[time, ...]
    weekdays: tuple[int, ...] = EVERY_DAY
    on_closed_days: bool = True
    most_kept: int = 1


def change_safekeeping(session: orm.Session, wanted: Wanted, now: datetime) -> Safekeeping:
    """Keep what an owner chose; in a folder that is new, the first one is due at once.

    Raises:
        RefusedError: something is wrong; its problems say what and where.
    """
    with transaction(session):
        row = _locked(session, wanted.kept)
        folder = _checked(session, wanted) if wanted.folder else ""
        if folder != row.folder:
            row.folder, row.done_at, row.done_name, row.next_at = folder, None, "", None
            row.asked_at, row.failed_at, row.failure = None, None, ""
        row.times = [f"{at:%H:%M}" for at in sorted(set(wanted.times))]
        row.weekdays = sorted(set(wanted.weekdays))
        row.on_closed_days, row.most_kept = wanted.on_closed_days, wanted.most_kept
        row.next_at = _due(session, row, now)
    return row


def _checked(session: orm.Session, wanted: Wanted) -> str:
    folder = ""
    problems = list(_problems(wanted))
    try:
        folder = str(_folder(session, wanted))
    except PlainError as error:
        problems.insert(0, Problem("folder", error))
    if problems:
        raise RefusedError(problems)
    return folder


def _problems(wanted: Wanted) -> Iterator[Problem]:
    if not wanted.times:
        yield Problem("time_1", NoTimesError())
    if not wanted.weekdays:
        yield Problem("weekdays", NoWeekdaysError())


def _folder(session: orm.Session, wanted: Wanted) -> Path:
    folder = usable_folder(wanted.folder, checkout=ROOT)
    others = sa.select(Safekeeping.folder).where(Safekeeping.kept != wanted.kept, Safekeeping.folder != "")
    for other in map(Path, session.scalars(others)):
        if folder.is_relative_to(other) or other.is_relative_to(folder):
            raise SharedFolderError
    if wanted.kept is Kept.PAPER and is_foreign_index(folder):
        raise ForeignIndexError
    return folder


def ask_for_one(session: orm.Session, kept: Kept, now: datetime) -> None:
    """Ask the keeper to write one at once.

    Raises:
        NoFolderError: no folder was chosen for it.
    """
    with transaction(session):
        row = _locked(session, kept)
        if not row.folder:
            raise NoFolderError
        row.asked_at = now


def due_now(session: orm.Session, now: datetime) -> list[Safekeeping]:
    """Return what is to be written now, after bringing up to date when each is due.

    Closed days, the shop's zone and this computer's clock can change what was due.
    """
    if station_queries.find_shop(session) is None:
        return []
    rows = session.scalars(sa.select(Safekeeping).where(Safekeeping.folder != "").order_by(Safekeeping.kept)).all()
    moved = [row.kept for row in rows if _due(session, row, now) != row.next_at]
    if moved:
        with transaction(session):
            for kept in moved:
                row = _locked(session, kept)
                row.next_at = _due(session, row, now)
        rows = [get_safekeeping(session, row.kept) for row in rows]
    return [row for row in rows if row.folder and _is_to_be_written(row, now)]


def _is_to_be_written(row: Safekeeping, now: datetime) -> bool:
    if row.asked_at is not None:
        return True
    if row.failed_at is not None and timedelta() <= now - row.failed_at < TRY_AGAIN_AFTER:
        return False
    return row.next_at is not None and row.next_at <= now


def note_done(session: orm.Session, kept: Kept, *, shown: datetime, name: str) -> None:
    """Note that one was written, whose content is that of ``shown``, under a name in its folder."""
    with transaction(session):
        row = _locked(session, kept)
        row.done_at, row.done_name = shown, name
        row.asked_at, row.failed_at, row.failure = None, None, ""
        row.next_at = _due(session, row, shown)


def note_failed(session: orm.Session, kept: Kept, *, at: datetime, reason: str) -> None:
    """Note when and why one could not be written."""
    with transaction(session):
        row = _locked(session, kept)
        row.asked_at, row.failed_at, row.failure = None, at, reason


def _due(session: orm.Session, row: Safekeeping, now: datetime) -> datetime | None:
    """Return when the next one is due: the first at once, the others at the first time after the last good one."""
    if not row.folder:
        return None
    if row.done_at is None:
        return row.next_at or now
    # A last one of the future is of a clock that was wrong; it delays nothing.
    return next_time(session, row, min(row.done_at, now))


def _locked(session: orm.Session, kept: Kept) -> Safekeeping:
    row = lock_row(session, Safekeeping, kept)
    if row is None:
        raise LookupError(f"The migration made a row for {kept.value}; it is gone.")
    return row
