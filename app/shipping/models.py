"""Shipments and what was in them."""

from datetime import date, datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, Posting
from app.orders.models import Customer, Delivery
from app.people.models import Person
from app.shared.database import Model, PrimaryKey


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
