"""Who is signed on at which station."""

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.people.models import Person
from app.shared.database import Model, PrimaryKey
from app.stations.models import Station


class SignOn(Model):
    """A person working at a station; the one seen last is who the next entry is by."""

    __tablename__ = "sign_on"

    id: orm.Mapped[PrimaryKey]
    station_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("station.id"), index=True)
    person_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("person.id"), index=True)
    begun_at: orm.Mapped[datetime]
    seen_at: orm.Mapped[datetime]
    ended_at: orm.Mapped[datetime | None]
    station: orm.Mapped[Station] = orm.relationship()
    person: orm.Mapped[Person] = orm.relationship()
