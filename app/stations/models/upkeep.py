"""Planned service of stations, by days or by the hours they ran."""

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.shared.database import Model, PrimaryKey
from app.stations.models.stations import Station


class PlannedService(Model):
    """A service that a station needs every so many days, or every so many hours that it ran."""

    __tablename__ = "planned_service"
    __table_args__ = (
        sa.CheckConstraint("(every_days IS NULL) <> (every_hours IS NULL)", name="days_or_hours"),
        sa.CheckConstraint("every_days BETWEEN 1 AND 3660", name="days_range"),
        sa.CheckConstraint("every_hours BETWEEN 1 AND 100000", name="hours_range"),
        sa.CheckConstraint("takes_minutes BETWEEN 1 AND 10000", name="takes_range"),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 60", name="name_length"),
    )
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    station_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("station.id"), index=True)
    name: orm.Mapped[str]
    every_days: orm.Mapped[int | None]
    every_hours: orm.Mapped[int | None]
    takes_minutes: orm.Mapped[int]
    """Open time that it takes."""
    last_done_at: orm.Mapped[datetime]
    ran_then: orm.Mapped[int] = orm.mapped_column(sa.BigInteger, default=0)
    """Seconds that the station had run when it was last done; below zero where it ran before we counted."""
    active: orm.Mapped[bool] = orm.mapped_column(default=True)
    station: orm.Mapped[Station] = orm.relationship()
