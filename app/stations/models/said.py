"""What was said of stations as it happened."""

from datetime import datetime
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy import orm

from app.people.models import Person
from app.shared.database import Model, PrimaryKey


class Saying(StrEnum):
    """What can be said of a station."""

    DOWN = "down"
    GUESS = "back about"
    BACK = "runs again"
    SERVICED = "service done"


class StationChange(Model):
    """Something said of a station that moves no pieces: by whom and when; its key counts once."""

    __tablename__ = "station_change"

    id: orm.Mapped[PrimaryKey]
    client_key: orm.Mapped[str] = orm.mapped_column(unique=True)
    content_hash: orm.Mapped[str]
    what: orm.Mapped[Saying]
    station_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("station.id"), index=True)
    person_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    happened_at: orm.Mapped[datetime]
    recorded_at: orm.Mapped[datetime]
    reason: orm.Mapped[str] = orm.mapped_column(default="")
    person: orm.Mapped[Person | None] = orm.relationship()
