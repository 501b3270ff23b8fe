"""How the paper files and the backup stand."""

import os
from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.timetable import Timetable
from app.safekeeping.models import Health, Kept, Safekeeping
from app.stations import queries as station_queries

LOUD: Final = frozenset({Health.OLD, Health.FAILED})
OUR_MARK: Final = '<meta name="generator" content="Lotwright paper files">'
"""What an index of ours has in its head."""


@dataclass(frozen=True, slots=True)
class Standing:
    """How the two stand at ``now``."""

    paper: Safekeeping
    backup: Safekeeping
    now: datetime

    def loud(self) -> list[Safekeeping]:
        """Return what is old or has failed."""
        return [row for row in (self.paper, self.backup) if row.health(self.now) in LOUD]

    def calm(self) -> list[Safekeeping]:
        """Return the others."""
        return [row for row in (self.paper, self.backup) if row.health(self.now) not in LOUD]

    def off(self) -> list[Safekeeping]:
        """Return what was never set up, or was turned off."""
        return [row for row in (self.paper, self.backup) if row.health(self.now) is Health.OFF]


def standing(session: orm.Session, now: datetime) -> Standing:
    """Return how paper files and backup stand at ``now``; one statement."""
    rows = {row.kept: row for row in session.scalars(sa.select(Safekeeping))}
    return Standing(rows[Kept.PAPER], rows[Kept.BACKUP], now)


def get_safekeeping(session: orm.Session, kept: Kept) -> Safekeeping:
    """Return one of the two."""
    return session.get_one(Safekeeping, kept, populate_existing=True)


def next_time(session: orm.Session, row: Safekeeping, after: datetime) -> datetime | None:
    """Return when it is due next after a moment, by the owners' times.

    Raises:
        NoShopError: the shop is not set up yet.
    """
    closed = frozenset() if row.on_closed_days else station_queries.closed_days(session, (after - _A_DAY).date())
    zone = station_queries.shop(session).time_zone
    return Timetable(zone, row.clock_times, frozenset(row.weekdays), closed).next_after(after)


_A_DAY = timedelta(days=1)


def is_foreign_index(folder: Path) -> bool:
    """Say whether a folder has an index.html that the keeper did not write, or one that cannot be read."""
    index = folder / "index.html"
    try:
        with index.open(encoding="utf-8", errors="replace") as file:
            return OUR_MARK not in file.read(4096)
    except FileNotFoundError:
        return False
    except OSError:
        return True


def on_one_disk(folders: Collection[str | Path]) -> bool:
    """Say whether all folders lie on one disk, as far as the system tells; False where one is not there."""
    try:
        return len({os.stat(folder).st_dev for folder in folders}) == 1
    except OSError:
        return False
