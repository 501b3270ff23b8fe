"""The chance of being late, as simulated: what the planner stored of its last replications."""

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.shared.database import Model, PrimaryKey
from app.shared.words import gettext


class ChanceRun(Model):
    """One row: of which state of the shop the stored chances are, and what they were made with."""

    __tablename__ = "chance_run"
    __table_args__ = (sa.CheckConstraint("id = 1", name="one_row"),)

    id: orm.Mapped[PrimaryKey]
    change_number: orm.Mapped[int] = orm.mapped_column(sa.BigInteger)
    computed_at: orm.Mapped[datetime]
    """The present that the replications begin at."""
    took_ms: orm.Mapped[int]
    replications: orm.Mapped[int]
    seen: orm.Mapped[int]
    """How many finished operations its spreads of times were learned from."""


class LotChance(Model):
    """What the replications say of one open lot; a date is missing where too few of them finish it."""

    __tablename__ = "lot_chance"
    __table_args__ = (
        sa.CheckConstraint("late_permille BETWEEN 0 AND 1000", name="late_range"),
        sa.CheckConstraint("error_permille BETWEEN 0 AND 1000", name="error_range"),
    )

    lot_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot.id"), primary_key=True)
    median_at: orm.Mapped[datetime | None]
    """By when it is as likely finished as not."""
    likely_at: orm.Mapped[datetime | None]
    """By when it is finished with a chance of 80 %."""
    sure_at: orm.Mapped[datetime | None]
    """By when it is finished with a chance of 95 %."""
    late_permille: orm.Mapped[int | None]
    """The chance that it is late; missing without a due date."""
    error_permille: orm.Mapped[int | None]
    """The standard error of that chance."""

    @property
    def words(self) -> str:
        """Say how likely it is late, as a person would; empty without a due date."""
        if self.late_permille is None:
            return ""
        words = (
            (50, gettext("almost surely on time")),
            (250, gettext("probably on time")),
            (501, gettext("may well be late")),
            (900, gettext("probably late")),
        )
        return next((said for below, said in words if self.late_permille < below), gettext("almost surely late"))
