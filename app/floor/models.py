"""Who is signed on at which station, the notes that people leave, and who has seen a hand-over."""

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot
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


class Note(Model):
    """A short text left on a lot, on a station, or for the shift after the one that began at ``shift_at``."""

    __tablename__ = "note"
    __table_args__ = (
        sa.CheckConstraint("(lot_id IS NULL) <> (station_id IS NULL)", name="lot_or_station"),
        sa.CheckConstraint("shift_at IS NULL OR station_id IS NOT NULL", name="shift_of_a_station"),
        sa.CheckConstraint("length(text) BETWEEN 1 AND 300", name="text_length"),
    )

    id: orm.Mapped[PrimaryKey]
    client_key: orm.Mapped[str] = orm.mapped_column(unique=True)
    lot_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("lot.id"), index=True)
    station_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("station.id"), index=True)
    shift_at: orm.Mapped[datetime | None]
    text: orm.Mapped[str]
    person_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("person.id"))
    written_at: orm.Mapped[datetime]
    taken_down_at: orm.Mapped[datetime | None]
    taken_down_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    lot: orm.Mapped[Lot | None] = orm.relationship()
    person: orm.Mapped[Person] = orm.relationship(foreign_keys=[person_id])
    taken_down_by: orm.Mapped[Person | None] = orm.relationship(foreign_keys=[taken_down_by_id])


class HandOverSeen(Model):
    """Who has seen, in the shift that began at ``shift_at``, what the shift before it left at a station."""

    __tablename__ = "hand_over_seen"
    __table_args__ = (sa.UniqueConstraint("station_id", "shift_at", "person_id"),)

    id: orm.Mapped[PrimaryKey]
    station_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("station.id"))
    shift_at: orm.Mapped[datetime]
    person_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("person.id"))
    seen_at: orm.Mapped[datetime]
    person: orm.Mapped[Person] = orm.relationship()
