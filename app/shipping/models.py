"""Shipments and what was in them; goods that came back and what was decided about them."""

from datetime import date, datetime
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, Posting
from app.orders.models import Customer, Delivery
from app.people.models import Person
from app.shared.database import Model, PrimaryKey, choice
from app.shared.words import gettext


class Shipment(Model):
    """Goods that left for one customer under one packing slip."""

    __tablename__ = "shipment"
    __table_args__ = (
        sa.CheckConstraint("(taken_back_at IS NULL) = (taken_back_reason = '')", name="taken_back_with_reason"),
    )

    id: orm.Mapped[PrimaryKey]
    number: orm.Mapped[int] = orm.mapped_column(unique=True)
    """The number on the packing slip."""
    customer_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("customer.id"), index=True)
    shipped_on: orm.Mapped[date]
    carrier: orm.Mapped[str] = orm.mapped_column(default="")
    note: orm.Mapped[str] = orm.mapped_column(default="")
    client_key: orm.Mapped[str] = orm.mapped_column(unique=True)
    """The key of the form that recorded it: the same form never ships twice."""
    content_hash: orm.Mapped[str]
    recorded_at: orm.Mapped[datetime]
    recorded_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    taken_back_at: orm.Mapped[datetime | None]
    """Set when it was recorded by mistake: its pieces are in stock again."""
    taken_back_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    taken_back_reason: orm.Mapped[str] = orm.mapped_column(default="")
    customer: orm.Mapped[Customer] = orm.relationship()
    recorded_by: orm.Mapped[Person | None] = orm.relationship(foreign_keys=[recorded_by_id])
    taken_back_by: orm.Mapped[Person | None] = orm.relationship(foreign_keys=[taken_back_by_id])
    lines: orm.Mapped[list["ShipmentLine"]] = orm.relationship(
        back_populates="shipment", cascade="all, delete-orphan", order_by="ShipmentLine.id"
    )

    @property
    def pieces(self) -> int:
        """Return how many pieces were in it."""
        return sum(line.pieces for line in self.lines)


class ShipmentLine(Model):
    """Pieces of one lot for one delivery in a shipment."""

    __tablename__ = "shipment_line"
    __table_args__ = (
        sa.UniqueConstraint("shipment_id", "delivery_id", "lot_id"),
        sa.CheckConstraint("pieces >= 1", name="pieces_positive"),
        sa.CheckConstraint("raised BETWEEN 0 AND pieces", name="raised_range"),
    )

    id: orm.Mapped[PrimaryKey]
    shipment_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("shipment.id"), index=True)
    delivery_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("delivery.id"), index=True)
    lot_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot.id"), index=True)
    posting_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("posting.id"), unique=True)
    """Its entry in the piece ledger."""
    pieces: orm.Mapped[int]
    raised: orm.Mapped[int] = orm.mapped_column(default=0)
    """How many of them were not meant for the delivery before; taking back lowers the lot's share by as many."""
    shipment: orm.Mapped[Shipment] = orm.relationship(back_populates="lines")
    delivery: orm.Mapped[Delivery] = orm.relationship()
    lot: orm.Mapped[Lot] = orm.relationship()
    posting: orm.Mapped[Posting] = orm.relationship()


class GoodsReturn(Model):
    """Pieces of a shipment that came back: a lot of their own. How many they are is what that lot was started with."""

    __tablename__ = "goods_return"

    id: orm.Mapped[PrimaryKey]
    number: orm.Mapped[int] = orm.mapped_column(unique=True)
    shipment_line_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("shipment_line.id"), index=True)
    """What they left with, and so from which lot and for which delivery."""
    lot_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot.id"), unique=True)
    came_on: orm.Mapped[date]
    reason: orm.Mapped[str]
    their_reference: orm.Mapped[str] = orm.mapped_column(default="")
    client_key: orm.Mapped[str] = orm.mapped_column(unique=True)
    content_hash: orm.Mapped[str]
    recorded_at: orm.Mapped[datetime]
    recorded_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    line: orm.Mapped[ShipmentLine] = orm.relationship()
    lot: orm.Mapped[Lot] = orm.relationship()
    recorded_by: orm.Mapped[Person | None] = orm.relationship()
    decisions: orm.Mapped[list["ReturnDecision"]] = orm.relationship(
        back_populates="returned", order_by="ReturnDecision.id"
    )

    @property
    def pieces(self) -> int:
        """Return how many came back."""
        return self.lot.started

    @property
    def undecided(self) -> int:
        """Return for how many the customer waits to hear whether they are sent again or credited."""
        return self.pieces - sum(each.pieces for each in self.decisions if each.outcome is not Outcome.SCRAP)


class Outcome(StrEnum):
    """What is decided about pieces that came back: what the customer gets for them, and that they are scrap."""

    SHIP_AGAIN = "ship again"
    SCRAP = "scrap"
    CREDIT = "credit"

    @property
    def word(self) -> str:
        """Return it as pages say it."""
        words = {
            Outcome.SHIP_AGAIN: gettext("Send again, reworked or replaced"),
            Outcome.SCRAP: gettext("Scrap"),
            Outcome.CREDIT: gettext("Credit"),
        }
        return words[self]


class ReturnDecision(Model):
    """What was decided about some pieces of a return, and by whom."""

    __tablename__ = "return_decision"
    __table_args__ = (sa.CheckConstraint("pieces >= 1", name="pieces_positive"),)

    id: orm.Mapped[PrimaryKey]
    return_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("goods_return.id"), index=True)
    outcome: orm.Mapped[Outcome] = orm.mapped_column(choice(Outcome, "outcome"))
    pieces: orm.Mapped[int]
    note: orm.Mapped[str] = orm.mapped_column(default="")
    delivery_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("delivery.id"), index=True)
    """Where they are sent again: the delivery that does it."""
    client_key: orm.Mapped[str] = orm.mapped_column(unique=True)
    content_hash: orm.Mapped[str]
    decided_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    recorded_at: orm.Mapped[datetime]
    recorded_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    returned: orm.Mapped[GoodsReturn] = orm.relationship(back_populates="decisions")
    delivery: orm.Mapped[Delivery | None] = orm.relationship()
    decided_by: orm.Mapped[Person | None] = orm.relationship(foreign_keys=[decided_by_id])
