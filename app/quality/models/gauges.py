"""Gauges and their calibrations."""

from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.quality.tolerances import DIGITS_AFTER
from app.parts.models import GaugeKind, StoredFile
from app.people.models import Person
from app.shared.database import Model, PrimaryKey, choice
from app.shared.exact import Exact
from app.shared.words import gettext


class Condition(StrEnum):
    """How a calibration found a gauge, or left it."""

    GOOD = "good"
    OUT = "out"

    @property
    def word(self) -> str:
        """Return it as pages name it."""
        return gettext("Within its limits") if self is Condition.GOOD else gettext("Out of its limits")


class WhenOverdue(StrEnum):
    """What a station does with a gauge whose calibration is overdue."""

    BLOCK = "block"
    WARN = "warn"

    @property
    def word(self) -> str:
        """Return it as pages name it."""
        return gettext("Take no reading") if self is WhenOverdue.BLOCK else gettext("Warn, and take it")


class Gauge(Model):
    """One gauge. What its last calibration says is kept with it, written in the same transaction."""

    __tablename__ = "gauge"
    __table_args__ = (
        sa.CheckConstraint("length(name) BETWEEN 1 AND 40", name="name_length"),
        sa.CheckConstraint("interval_months BETWEEN 1 AND 240", name="interval_range"),
        sa.CheckConstraint("resolution > 0", name="resolution_positive"),
        sa.CheckConstraint("range_low < range_high", name="range_in_order"),
    )

    id: orm.Mapped[PrimaryKey]
    name: orm.Mapped[str] = orm.mapped_column(unique=True)
    """What is engraved on it."""
    kind_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("gauge_kind.id"), index=True)
    unit: orm.Mapped[str] = orm.mapped_column(default="")
    range_low: orm.Mapped[Decimal | None] = orm.mapped_column(Exact(DIGITS_AFTER))
    range_high: orm.Mapped[Decimal | None] = orm.mapped_column(Exact(DIGITS_AFTER))
    resolution: orm.Mapped[Decimal | None] = orm.mapped_column(Exact(DIGITS_AFTER))
    owner: orm.Mapped[str] = orm.mapped_column(default="")
    """Whose it is: the shop's, a person's, a customer's."""
    interval_months: orm.Mapped[int] = orm.mapped_column(default=12)
    when_overdue: orm.Mapped[WhenOverdue] = orm.mapped_column(default=WhenOverdue.BLOCK)
    active: orm.Mapped[bool] = orm.mapped_column(default=True)
    calibrated_on: orm.Mapped[date | None]
    """The day of its last calibration; missing: nothing is known of it."""
    condition: orm.Mapped[Condition | None]
    """How the last calibration left it."""
    due_on: orm.Mapped[date | None]
    """The first day on which its calibration is overdue is the one after this."""
    kind: orm.Mapped[GaugeKind] = orm.relationship()
    calibrations: orm.Mapped[list["Calibration"]] = orm.relationship(
        back_populates="gauge", order_by=lambda: (Calibration.made_on.desc(), Calibration.id.desc())
    )

    def is_overdue(self, today: date) -> bool:
        """Say whether its calibration is overdue."""
        return self.due_on is not None and self.due_on < today

    def is_usable(self, today: date) -> bool:
        """Say whether a station takes readings of it: one that failed or that nothing is known of is always blocked."""
        if not self.active or self.condition is not Condition.GOOD:
            return False
        return not self.is_overdue(today) or self.when_overdue is WhenOverdue.WARN


class Calibration(Model):
    """One calibration of a gauge; what is recorded stays."""

    __tablename__ = "calibration"

    id: orm.Mapped[PrimaryKey]
    gauge_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("gauge.id"), index=True)
    made_on: orm.Mapped[date]
    as_found: orm.Mapped[Condition] = orm.mapped_column(choice(Condition, "as_found"))
    """Before anything was adjusted: out makes every reading since the last good one doubtful."""
    as_left: orm.Mapped[Condition] = orm.mapped_column(choice(Condition, "as_left"))
    made_by: orm.Mapped[str] = orm.mapped_column(default="")
    certificate: orm.Mapped[str] = orm.mapped_column(default="")
    note: orm.Mapped[str] = orm.mapped_column(default="")
    file_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("stored_file.id"))
    client_key: orm.Mapped[str] = orm.mapped_column(unique=True)
    content_hash: orm.Mapped[str]
    recorded_at: orm.Mapped[datetime]
    recorded_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    gauge: orm.Mapped[Gauge] = orm.relationship(back_populates="calibrations")
    file: orm.Mapped[StoredFile | None] = orm.relationship()
    recorded_by: orm.Mapped[Person | None] = orm.relationship()
