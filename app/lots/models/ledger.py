"""The piece ledger: postings and their entries, append only."""

from datetime import datetime
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models.lots import Lot, LotOperation
from app.people.models import Person
from app.shared.database import Model, PrimaryKey, choice, looked_up
from app.stations.models import Station


class Place(StrEnum):
    """Where pieces of a lot can be. The last two are outside: what is there was taken into or out of the count."""

    WAITING = "waiting"
    IN_WORK = "in work"
    COUNTED = "counted"
    HELD = "held"
    SCRAPPED = "scrapped"
    AT_VENDOR = "back at the vendor"
    IN_STOCK = "in stock"
    SHIPPED = "shipped"
    OTHER_LOT = "other lot"
    STARTED = "started"
    RECOUNTED = "missing or found"


AT_AN_OPERATION = frozenset({Place.WAITING, Place.IN_WORK, Place.COUNTED, Place.HELD, Place.SCRAPPED, Place.AT_VENDOR})
OUTSIDE = frozenset({Place.STARTED, Place.RECOUNTED})


class Verb(StrEnum):
    """What a posting says was done."""

    START = "start"
    START_FEWER = "start fewer"
    ISSUE_BLANKS = "issue blanks"
    BEGIN_SETUP = "begin set-up"
    FIRST_PIECE = "first piece good"
    BEGIN_RUN = "begin run"
    COUNT = "counted so far"
    PAUSE = "pause"
    HAND_OVER = "hand over"
    SEND_AHEAD = "send ahead"
    SIGN_OFF = "sign off"
    RECORD_LATE = "recorded late"
    SCRAP = "scrap"
    BACK_TO_VENDOR = "back to the vendor"
    HOLD = "hold"
    RELEASE_HOLD = "release hold"
    REWORK = "rework"
    SPLIT = "split"
    SHIP = "ship"
    USE_COMPONENT = "use component"
    RECOUNT = "recount"
    JOIN = "join"
    TAKE_BACK = "take back"
    MEAN_FOR = "mean for"
    CHANGE_LOT = "change lot"
    UNDO = "undo"


class Posting(Model):
    """One use case in the ledger: who did what, when, where; its entries carry the pieces."""

    __tablename__ = "posting"
    __table_args__ = (sa.Index("ix_posting_station_happened", "station_id", "happened_at"),)

    id: orm.Mapped[PrimaryKey]
    verb: orm.Mapped[Verb]
    client_key: orm.Mapped[str] = orm.mapped_column(unique=True)
    content_hash: orm.Mapped[str]
    happened_at: orm.Mapped[datetime] = orm.mapped_column(index=True)
    recorded_at: orm.Mapped[datetime]
    person_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"), index=True)
    """Who did it; missing: the program itself."""
    recorded_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    station_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("station.id"))
    reason: orm.Mapped[str] = orm.mapped_column(default="")
    is_estimate: orm.Mapped[bool] = orm.mapped_column(default=False)
    """Nobody knows when it happened: times that standards are learned from leave it out."""
    reverses_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("posting.id"), unique=True)
    entries: orm.Mapped[list["Entry"]] = orm.relationship(back_populates="posting", order_by="Entry.id")
    person: orm.Mapped[Person | None] = looked_up(foreign_keys=[person_id])
    recorded_by: orm.Mapped[Person | None] = looked_up(foreign_keys=[recorded_by_id])
    station: orm.Mapped[Station | None] = looked_up()


class Entry(Model):
    """Pieces of one lot moved from one place to another; with 0 pieces, a mark such as 'set-up begun'."""

    __tablename__ = "entry"
    __table_args__ = (
        sa.CheckConstraint("quantity >= 0", name="quantity_not_negative"),
        sa.Index("ix_entry_lot_posting", "lot_id", "posting_id"),
    )
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    posting_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("posting.id"), index=True)
    lot_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot.id"))
    quantity: orm.Mapped[int]
    from_place: orm.Mapped[Place] = orm.mapped_column(choice(Place, "from_place"))
    from_operation_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("lot_operation.id"), index=True)
    to_place: orm.Mapped[Place] = orm.mapped_column(choice(Place, "to_place"))
    to_operation_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("lot_operation.id"), index=True)
    cause_operation_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("lot_operation.id"))
    """For scrap and rework: the operation that caused it."""
    other_lot_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("lot.id"), index=True)
    """For splits and components: the lot on the other side."""
    receipt_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("receipt.id"), index=True)
    """For blanks: the receipt they came from."""
    station_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("station.id"))
    """The station whose open job the pieces come from or go to."""
    reason: orm.Mapped[str] = orm.mapped_column(default="")
    """For scrap, holds and rework: why."""
    posting: orm.Mapped[Posting] = orm.relationship(back_populates="entries")
    lot: orm.Mapped[Lot] = looked_up(foreign_keys=[lot_id])
    from_operation: orm.Mapped[LotOperation | None] = looked_up(foreign_keys=[from_operation_id])
    to_operation: orm.Mapped[LotOperation | None] = looked_up(foreign_keys=[to_operation_id])


class ComponentUse(Model):
    """Components that went into a lot at an operation, from one of our lots or from a receipt; negative: taken back."""

    __tablename__ = "component_use"
    __table_args__ = (
        sa.CheckConstraint("(source_lot_id IS NULL) <> (receipt_id IS NULL)", name="one_source"),
        sa.CheckConstraint("pieces <> 0", name="pieces_not_zero"),
    )

    id: orm.Mapped[PrimaryKey]
    posting_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("posting.id"), index=True)
    operation_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot_operation.id"), index=True)
    part_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("part.id"))
    pieces: orm.Mapped[int]
    source_lot_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("lot.id"), index=True)
    receipt_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("receipt.id"), index=True)
