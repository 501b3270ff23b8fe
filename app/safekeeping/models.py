"""What the keeper writes, when and where, and how that went."""

from datetime import datetime, time, timedelta
from enum import StrEnum
from pathlib import Path
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.shared.database import Model

PATIENCE: Final = timedelta(minutes=30)
"""What was due and is not there after so long is loud in the review."""


class Kept(StrEnum):
    """One of the two things that the keeper writes."""

    PAPER = "paper"
    BACKUP = "backup"


class Health(StrEnum):
    """How one of the two stands."""

    OFF = "off"
    """No folder was chosen."""
    FIRST = "first"
    """The first one is on its way."""
    FINE = "fine"
    OLD = "old"
    FAILED = "failed"


class Safekeeping(Model):
    """One row for each of the two: what the owners chose, and how the last ones went."""

    __tablename__ = "safekeeping"
    __table_args__ = (sa.CheckConstraint("most_kept BETWEEN 1 AND 400", name="most_kept_range"),)

    kept: orm.Mapped[Kept] = orm.mapped_column(primary_key=True)
    folder: orm.Mapped[str]
    """Empty: it is not wanted."""
    times: orm.Mapped[list[str]] = orm.mapped_column(sa.JSON)
    """Times of day on the shop's wall clock, as ``06:00``."""
    weekdays: orm.Mapped[list[int]] = orm.mapped_column(sa.JSON)
    """0 is Monday."""
    on_closed_days: orm.Mapped[bool]
    most_kept: orm.Mapped[int]
    """So many backups stay; of paper files the newest set alone."""
    next_at: orm.Mapped[datetime | None]
    asked_at: orm.Mapped[datetime | None]
    """When somebody asked for one at once; empty again when that was tried."""
    done_at: orm.Mapped[datetime | None]
    """The moment that the last good one shows."""
    done_name: orm.Mapped[str]
    """The name in the folder of what was written last."""
    failed_at: orm.Mapped[datetime | None]
    failure: orm.Mapped[str]
    """Why the last try failed, in plain words; empty after a good one."""

    @property
    def clock_times(self) -> tuple[time, ...]:
        """Return its times of day."""
        return tuple(time.fromisoformat(each) for each in self.times)

    @property
    def done_path(self) -> str:
        """Return where to find what was written last: the index of the paper files, or the backup."""
        return str(Path(self.folder, "index.html" if self.kept is Kept.PAPER else self.done_name))

    def health(self, now: datetime) -> Health:
        """Say how it stands at ``now``."""
        if not self.folder:
            return Health.OFF
        if self.failure:
            return Health.FAILED
        if self.next_at is not None and now - self.next_at > PATIENCE:
            return Health.OLD
        return Health.FINE if self.done_at is not None else Health.FIRST

    def age_seconds(self, now: datetime) -> int | None:
        """Return how old the last good one is; None where there is none."""
        return None if self.done_at is None else max(0, int((now - self.done_at).total_seconds()))
