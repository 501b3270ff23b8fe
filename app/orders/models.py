"""Customers, their orders, the lines of an order, the deliveries of a line and what was agreed about them."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy import orm

from app.parts.models import Revision
from app.people.models import Person
from app.shared.database import Model, PrimaryKey, choice
from app.shared.exact import Exact


class DueMeans(StrEnum):
    """What a customer's due date means."""

    LEAVES = "leaves here"
    DOCK = "at their dock"


class Customer(Model):
    """An equipment maker that orders parts."""

    __tablename__ = "customer"
    __table_args__ = (
        sa.CheckConstraint("length(name) BETWEEN 1 AND 80", name="name_length"),
        sa.CheckConstraint("transit_days >= 0", name="transit_days_not_negative"),
        sa.CheckConstraint("weight BETWEEN 1 AND 20", name="weight_range"),
    )
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    name: orm.Mapped[str] = orm.mapped_column(unique=True)
    address: orm.Mapped[str] = orm.mapped_column(default="")
    due_means: orm.Mapped[DueMeans] = orm.mapped_column(default=DueMeans.LEAVES)
    transit_days: orm.Mapped[int] = orm.mapped_column(default=0)
    """Calendar days on the road; counts only where dates are dock days."""
    weight: orm.Mapped[int] = orm.mapped_column(default=1)
    """What an hour past due counts against the same of others, when a better order of work is looked for."""
    active: orm.Mapped[bool] = orm.mapped_column(default=True)

    def leave_day(self, due: date) -> date:
        """Return the day on which goods due on ``due`` must leave the shop."""
        return due - timedelta(days=self.transit_days) if self.due_means is DueMeans.DOCK else due


class CustomerOrder(Model):
    """What a customer bought under one of their order numbers."""

    __tablename__ = "customer_order"
    __table_args__ = (
        sa.UniqueConstraint("customer_id", "their_number"),
        sa.CheckConstraint("length(their_number) BETWEEN 1 AND 40", name="their_number_length"),
    )

    id: orm.Mapped[PrimaryKey]
    customer_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("customer.id"), index=True)
    their_number: orm.Mapped[str] = orm.mapped_column(index=True)
    received_on: orm.Mapped[date]
    note: orm.Mapped[str] = orm.mapped_column(default="")
    customer: orm.Mapped[Customer] = orm.relationship()
    lines: orm.Mapped[list["OrderLine"]] = orm.relationship(back_populates="order", order_by="OrderLine.number")


class OrderLine(Model):
    """One part and revision of an order."""

    __tablename__ = "order_line"
    __table_args__ = (
        sa.UniqueConstraint("order_id", "number"),
        sa.CheckConstraint("price >= 0", name="price_positive"),
        sa.CheckConstraint("standing_quantity >= 1", name="standing_quantity_positive"),
    )
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    order_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("customer_order.id"), index=True)
    number: orm.Mapped[int]
    revision_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("revision.id"), index=True)
    price: orm.Mapped[Decimal] = orm.mapped_column(Exact(4), default=Decimal(0))
    """Price of one piece."""
    rush: orm.Mapped[bool] = orm.mapped_column(default=False)
    rush_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    """Who said that it is a rush."""
    rush_at: orm.Mapped[datetime | None]
    """When they said so."""
    standing_quantity: orm.Mapped[int | None]
    """Of a standing order: the total that its deliveries are called off against; missing: an ordinary line."""
    rush_by: orm.Mapped[Person | None] = orm.relationship()
    order: orm.Mapped[CustomerOrder] = orm.relationship(back_populates="lines")
    revision: orm.Mapped[Revision] = orm.relationship()
    deliveries: orm.Mapped[list["Delivery"]] = orm.relationship(
        back_populates="line", order_by="(Delivery.due, Delivery.id)"
    )

    @property
    def called_off(self) -> int:
        """Return how many pieces its deliveries ask for; one that was closed short asks for what has left."""
        return sum(delivery.called_off for delivery in self.deliveries)

    @property
    def remaining(self) -> int:
        """Return how many pieces of a standing order are not called off yet."""
        return (self.standing_quantity or 0) - self.called_off


class Delivery(Model):
    """A quantity of a line and the day it is due; ``shipped`` counts what has left, ``closed_at`` says when filled."""

    __tablename__ = "delivery"
    __table_args__ = (
        sa.CheckConstraint("quantity >= 1", name="quantity_positive"),
        sa.CheckConstraint("shipped >= 0", name="shipped_not_negative"),
        sa.CheckConstraint("cancelled_reason = '' OR closed_at IS NOT NULL", name="cancelled_is_closed"),
    )
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    line_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("order_line.id"), index=True)
    quantity: orm.Mapped[int]
    due: orm.Mapped[date] = orm.mapped_column(index=True)
    """As last agreed, in the customer's meaning (see ``Customer.due_means``)."""
    first_due: orm.Mapped[date]
    """As first promised."""
    shipped: orm.Mapped[int] = orm.mapped_column(default=0)
    closed_at: orm.Mapped[datetime | None] = orm.mapped_column(index=True)
    cancelled_reason: orm.Mapped[str] = orm.mapped_column(default="")
    """Not empty: the customer cancelled what had not left."""
    is_replacement: orm.Mapped[bool] = orm.mapped_column(default=False)
    """Sent again for goods that came back: part of no standing total and no promise."""
    line: orm.Mapped[OrderLine] = orm.relationship(back_populates="deliveries")
    agreements: orm.Mapped[list["Agreement"]] = orm.relationship(
        back_populates="delivery", order_by="Agreement.id", cascade="all, delete-orphan"
    )

    @property
    def called_off(self) -> int:
        """Return how many pieces of a standing order it takes."""
        if self.is_replacement:
            return 0
        return self.quantity if self.closed_at is None else self.shipped

    @property
    def leave_day(self) -> date:
        """Return the day on which it must leave the shop."""
        return self.line.order.customer.leave_day(self.due)


class Agreed(StrEnum):
    """What was agreed about a delivery."""

    FIRST = "first promise"
    CHANGED = "changed"
    CLOSED_SHORT = "closed short"
    CANCELLED = "cancelled"
    REOPENED = "opened again"


class Agreement(Model):
    """What was agreed with the customer about a delivery at one time; it stays on record as long as the delivery."""

    __tablename__ = "agreement"

    id: orm.Mapped[PrimaryKey]
    delivery_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("delivery.id"), index=True)
    what: orm.Mapped[Agreed] = orm.mapped_column(choice(Agreed, "agreed"))
    quantity: orm.Mapped[int]
    due: orm.Mapped[date]
    revision_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("revision.id"))
    agreed_with: orm.Mapped[str] = orm.mapped_column(default="")
    """Who agreed at the customer."""
    note: orm.Mapped[str] = orm.mapped_column(default="")
    client_key: orm.Mapped[str | None] = orm.mapped_column(unique=True)
    """The key of the form that recorded it; missing: it came with its order."""
    content_hash: orm.Mapped[str] = orm.mapped_column(default="")
    recorded_at: orm.Mapped[datetime]
    recorded_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    delivery: orm.Mapped[Delivery] = orm.relationship(back_populates="agreements")
    revision: orm.Mapped[Revision] = orm.relationship()
    recorded_by: orm.Mapped[Person | None] = orm.relationship()
