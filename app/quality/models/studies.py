"""Studies of how well gauges repeat and how well the people who use them agree."""

from datetime import datetime
from decimal import Decimal

import sqlalchemy as sa
from sqlalchemy import orm

from app.parts.models import Characteristic
from app.people.models import Person
from app.quality.models.gauges import Gauge
from app.shared.database import Model, PrimaryKey


class GaugeStudy(Model):
    """Several people measured the same parts several times each with one gauge; what is recorded stays."""

    __tablename__ = "gauge_study"

    id: orm.Mapped[PrimaryKey]
    gauge_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("gauge.id"), index=True)
    characteristic_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("characteristic.id"))
    """What was measured: its tolerance is what the gauge's variation is compared with."""
    appraisers: orm.Mapped[list[str]] = orm.mapped_column(sa.JSON)
    """Who measured, in the order of ``typed``."""
    typed: orm.Mapped[list[list[list[str]]]] = orm.mapped_column(sa.JSON)
    """The values with their digits: ``typed[appraiser][part][trial]``."""
    note: orm.Mapped[str] = orm.mapped_column(default="")
    client_key: orm.Mapped[str] = orm.mapped_column(unique=True)
    content_hash: orm.Mapped[str]
    recorded_at: orm.Mapped[datetime]
    recorded_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    gauge: orm.Mapped[Gauge] = orm.relationship()
    characteristic: orm.Mapped[Characteristic | None] = orm.relationship()
    recorded_by: orm.Mapped[Person | None] = orm.relationship()

    @property
    def readings(self) -> list[list[list[Decimal]]]:
        """Return the values as the core takes them."""
        return [[[Decimal(each) for each in trials] for trials in measured] for measured in self.typed]
