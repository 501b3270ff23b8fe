"""What the database knows about the names and numbers that orders mention, read at once for any number of orders."""

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.orders.models import Customer, CustomerOrder
from app.orders.queries import PartsByNumber, customers_by_name, find_parts, shop_today, similar_numbers
from app.orders.services.inputs import NewLine


@dataclass(frozen=True, slots=True)
class Known:
    """Customers and parts by what was typed, orders by customer and number, and what day it is in the shop."""

    customers: dict[str, Customer]
    parts: PartsByNumber
    similar_parts: dict[str, list[str]]
    orders: dict[tuple[int, str], CustomerOrder]
    today: date

    def customer(self, name: str) -> Customer | None:
        """Return the customer called ``name``, small and capital letters alike."""
        return self.customers.get(name.casefold())

    def similar_customers(self, name: str) -> list[str]:
        """Return up to three customers whose names look like a mistyped one."""
        alike = difflib.get_close_matches(name.casefold(), self.customers, n=3, cutoff=0.75)
        return [self.customers[folded].name for folded in alike]


def look_up(session: orm.Session, lines: Sequence[NewLine], numbers: Iterable[str], now: datetime) -> Known:
    """Read what ``lines`` and order ``numbers`` mention; the number of statements does not grow with them."""
    parts = find_parts(session, (line.part for line in lines))
    return Known(
        customers=customers_by_name(session),
        parts=parts,
        similar_parts=_similar(session, parts, lines),
        orders=_orders_with(session, set(numbers)),
        today=shop_today(session, now),
    )


def _similar(session: orm.Session, parts: PartsByNumber, lines: Iterable[NewLine]) -> dict[str, list[str]]:
    unknown = {line.part for line in lines if line.part and parts.find(line.part) is None}
    return similar_numbers(session, unknown) if unknown else {}


def _orders_with(session: orm.Session, numbers: set[str]) -> dict[tuple[int, str], CustomerOrder]:
    folded = {number.lower() for number in numbers}
    found = session.scalars(
        sa.select(CustomerOrder).where(
            sa.or_(CustomerOrder.their_number.in_(numbers), sa.func.lower(CustomerOrder.their_number).in_(folded))
        )
    )
    return {(order.customer_id, order.their_number.casefold()): order for order in found}
