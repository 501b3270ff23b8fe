"""Reads of customers."""

from collections.abc import Sequence
from datetime import date

import sqlalchemy as sa
from sqlalchemy import orm

from app.orders.errors import CustomerNotFoundError
from app.orders.models import Customer
from app.shared.paging import Page, contains, paged


def get_customer(session: orm.Session, customer_id: int) -> Customer:
    """Return one customer.

    Raises:
        CustomerNotFoundError: there is none with this id.
    """
    customer = session.get(Customer, customer_id)
    if customer is None:
        raise CustomerNotFoundError
    return customer


def customers_page(session: orm.Session, text: str = "", number: int = 1) -> Page[Customer]:
    """Return a page of customers by name, active ones first; ``text`` looks in names and addresses."""
    chosen = sa.select(Customer).order_by(Customer.active.desc(), sa.func.lower(Customer.name), Customer.id)
    if text:
        chosen = chosen.where(sa.or_(contains(Customer.name, text), contains(Customer.address, text)))
    return paged(session, chosen, number)


def active_customers(session: orm.Session) -> Sequence[Customer]:
    """Return the active customers by name."""
    return session.scalars(
        sa.select(Customer).where(Customer.active).order_by(sa.func.lower(Customer.name), Customer.id)
    ).all()


def customers_by_name(session: orm.Session) -> dict[str, Customer]:
    """Return all customers by their name in small letters."""
    return {customer.name.casefold(): customer for customer in session.scalars(sa.select(Customer))}


def leave_day(session: orm.Session, name: str, due: date) -> date:
    """Return the day on which goods due on ``due`` must leave for a customer; for one nobody knows that day itself."""
    customer = customers_by_name(session).get(name.casefold())
    return customer.leave_day(due) if customer else due
