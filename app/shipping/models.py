"""Shipments and what was in them."""

from datetime import date, datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot
from app.orders.models import Customer, Delivery
from app.shared.database import Model, PrimaryKey


class Shipment(Model):
    """Goods that left for one customer under one packing slip."""

    __tablename__ = "shipment"

    id: orm.Mapped[PrimaryKey]
    number: orm.Mapped[int] = orm.mapped_column(unique=True)
    """The number on the packing slip."""
    customer_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("customer.id"), index=True)
    shipped_on: orm.Mapped[date]
    carrier: orm.Mapped[str] = orm.mapped_column(default="")
    note: orm.Mapped[str] = orm.mapped_column(default="")
    recorded_at: orm.Mapped[datetime]
    recorded_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    customer: orm.Mapped[Customer] = orm.relationship()
    lines: orm.Mapped[list["ShipmentLine"]] = orm.relationship(
        back_populates="shipment", cascade="all, delete-orphan", order_by="ShipmentLine.id"
    )


class ShipmentLine(Model):
    """Pieces of one lot for one delivery in a shipment."""

    __tablename__ = "shipment_line"
    __table_args__ = (sa.CheckConstraint("pieces >= 1", name="pieces_positive"),)

    id: orm.Mapped[PrimaryKey]
    shipment_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("shipment.id"), index=True)
    delivery_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("delivery.id"), index=True)
    lot_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot.id"), index=True)
    pieces: orm.Mapped[int]
    shipment: orm.Mapped[Shipment] = orm.relationship(back_populates="lines")
    delivery: orm.Mapped[Delivery] = orm.relationship()
    lot: orm.Mapped[Lot] = orm.relationship()
