"""Readings, and what else is said of an operation's pieces: that all were checked, that readings may be missing."""

from datetime import datetime
from decimal import Decimal

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.quality.tolerances import DIGITS_AFTER, Standing
from app.lots.models import LotCharacteristic, LotOperation
from app.people.models import Person
from app.quality.models.gauges import Gauge
from app.shared.database import Model, PrimaryKey
from app.shared.exact import Exact
from app.stations.models import Station


class Reading(Model):
    """One reading of one piece. It is never changed: a wrong one is struck out, and stays on record."""

    __tablename__ = "reading"
    __table_args__ = (
        sa.CheckConstraint("piece >= 1", name="piece_positive"),
        sa.CheckConstraint("(value IS NULL) <> (met IS NULL)", name="value_or_answer"),
        sa.CheckConstraint("(struck_at IS NULL) OR (struck_reason <> '')", name="struck_with_reason"),
        sa.Index("ix_reading_characteristic_id_happened_at", "characteristic_id", "happened_at"),
        sa.Index("ix_reading_gauge_id_happened_at", "gauge_id", "happened_at"),
        sa.Index("ix_reading_person_id_happened_at", "person_id", "happened_at"),
        sa.Index("ix_reading_station_id_happened_at", "station_id", "happened_at"),
    )

    id: orm.Mapped[PrimaryKey]
    characteristic_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot_characteristic.id"))
    piece: orm.Mapped[int]
    """The piece's number in the lot, counted at its operation from 1."""
    serial: orm.Mapped[str] = orm.mapped_column(default="")
    value: orm.Mapped[Decimal | None] = orm.mapped_column(Exact(DIGITS_AFTER))
    typed: orm.Mapped[str] = orm.mapped_column(default="")
    """The value with its digits as they were typed or sent."""
    met: orm.Mapped[bool | None]
    """The answer, where it is yes or no."""
    standing: orm.Mapped[Standing]
    """How it stood to the limits that are frozen with the lot."""
    questioned: orm.Mapped[bool] = orm.mapped_column(default=False)
    """It looked like a slip, and the person said that it is right."""
    gauge_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("gauge.id"))
    station_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("station.id"))
    person_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    happened_at: orm.Mapped[datetime]
    recorded_at: orm.Mapped[datetime]
    client_key: orm.Mapped[str] = orm.mapped_column(unique=True)
    content_hash: orm.Mapped[str]
    struck_at: orm.Mapped[datetime | None]
    struck_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    struck_reason: orm.Mapped[str] = orm.mapped_column(default="")
    characteristic: orm.Mapped[LotCharacteristic] = orm.relationship()
    gauge: orm.Mapped[Gauge | None] = orm.relationship()
    station: orm.Mapped[Station | None] = orm.relationship()
    person: orm.Mapped[Person | None] = orm.relationship(foreign_keys=[person_id])
    struck_by: orm.Mapped[Person | None] = orm.relationship(foreign_keys=[struck_by_id])

    @property
    def is_good(self) -> bool:
        """Say whether it keeps its limits."""
        return self.standing is Standing.GOOD


class AllChecked(Model):
    """Somebody said that all pieces made so far were checked, of which only some are recorded."""

    __tablename__ = "all_checked"
    __table_args__ = (sa.CheckConstraint("pieces >= 1", name="pieces_positive"),)

    id: orm.Mapped[PrimaryKey]
    operation_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot_operation.id"), index=True)
    pieces: orm.Mapped[int]
    """How many were made by then."""
    station_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("station.id"))
    person_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    happened_at: orm.Mapped[datetime]
    recorded_at: orm.Mapped[datetime]
    client_key: orm.Mapped[str] = orm.mapped_column(unique=True)
    content_hash: orm.Mapped[str]
    person: orm.Mapped[Person | None] = orm.relationship()


class Waiver(Model):
    """An inspector lets an operation go on though readings are missing or out, for a reason that stays on record."""

    __tablename__ = "waiver"
    __table_args__ = (
        sa.CheckConstraint("pieces >= 1", name="pieces_positive"),
        sa.CheckConstraint("length(reason) >= 1", name="has_reason"),
    )

    id: orm.Mapped[PrimaryKey]
    operation_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot_operation.id"), index=True)
    pieces: orm.Mapped[int]
    """It holds until more pieces than this are signed off."""
    reason: orm.Mapped[str]
    missing: orm.Mapped[str]
    """What was missing or out then, in words."""
    station_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("station.id"))
    person_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    happened_at: orm.Mapped[datetime]
    recorded_at: orm.Mapped[datetime]
    client_key: orm.Mapped[str] = orm.mapped_column(unique=True)
    content_hash: orm.Mapped[str]
    operation: orm.Mapped[LotOperation] = orm.relationship()
    person: orm.Mapped[Person | None] = orm.relationship()
