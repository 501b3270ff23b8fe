"""How long each station ran: a running total, and the days it was counted from."""

from datetime import date, datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.shared.database import Model, PrimaryKey
from app.stations.models import Station


class HoursCount(Model):
    """One row: up to which posting and moment the ledger's jobs are counted."""

    __tablename__ = "hours_count"
    __table_args__ = (sa.CheckConstraint("id = 1", name="one_row"),)

    id: orm.Mapped[PrimaryKey]
    posting_id: orm.Mapped[int] = orm.mapped_column(sa.BigInteger)
    counted_at: orm.Mapped[datetime]


class StationHours(Model):
    """How long a station ran in all: the sum of its days."""

    __tablename__ = "station_hours"

    station_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("station.id"), primary_key=True)
    run_seconds: orm.Mapped[int] = orm.mapped_column(sa.BigInteger, default=0)
    station: orm.Mapped[Station] = orm.relationship()


class StationDay(Model):
    """One day of a station: how long a job was set up or ran there; several at once count once.

    ``busy_seconds`` is clock time, from the ledger alone; ``run_seconds`` is what of it lay in the station's open hours
    as they stood when it was counted. A change of the hours later does not rewrite the past.
    """

    __tablename__ = "station_day"
    __table_args__ = (sa.CheckConstraint("run_seconds BETWEEN 0 AND busy_seconds", name="run_within_busy"),)

    station_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("station.id"), primary_key=True)
    day: orm.Mapped[date] = orm.mapped_column(primary_key=True)
    busy_seconds: orm.Mapped[int]
    run_seconds: orm.Mapped[int]
