"""Which one station of its work center an operation was sent to."""

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.people.models import Person
from app.shared.database import Model, PrimaryKey
from app.stations.models import Station


class Sending(Model):
    """A lot's operation was sent to one station of its work center, or let go again (no station): by whom and why."""

    __tablename__ = "sending"

    id: orm.Mapped[PrimaryKey]
    client_key: orm.Mapped[str] = orm.mapped_column(unique=True)
    content_hash: orm.Mapped[str]
    operation_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot_operation.id"), index=True)
    station_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("station.id"))
    reason: orm.Mapped[str] = orm.mapped_column(default="")
    person_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    sent_at: orm.Mapped[datetime]
    recorded_at: orm.Mapped[datetime]
    station: orm.Mapped[Station | None] = orm.relationship()
    person: orm.Mapped[Person | None] = orm.relationship()
