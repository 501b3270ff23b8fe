"""Adding and changing customers."""

import sqlalchemy as sa
from sqlalchemy import orm

from app.orders.errors import CustomerNameTakenError
from app.orders.models import Customer, CustomerOrder, Delivery, OrderLine
from app.orders.queries import customers_by_name, get_customer
from app.orders.services.following import tell_followers
from app.orders.services.inputs import NewCustomer
from app.shared.database import transaction


def add_customer(session: orm.Session, new: NewCustomer) -> Customer:
    """Add a customer.

    Raises:
        CustomerNameTakenError: another one has this name.
    """
    with transaction(session):
        _refuse_taken_name(session, new.name, None)
        customer = Customer(**_columns(new))
        session.add(customer)
    return customer


def change_customer(session: orm.Session, customer_id: int, new: NewCustomer) -> Customer:
    """Change a customer; where their due dates mean another day now, all open deliveries leave on another day.

    Raises:
        CustomerNotFoundError: there is none with this id.
        CustomerNameTakenError: another one has this name.
    """
    with transaction(session):
        customer = get_customer(session, customer_id)
        _refuse_taken_name(session, new.name, customer_id)
        meant = (customer.due_means, customer.transit_days)
        for column, value in _columns(new).items():
            setattr(customer, column, value)
        if meant != (customer.due_means, customer.transit_days):
            tell_followers(session, _open_delivery_ids(session, customer_id))
    return customer


def _columns(new: NewCustomer) -> dict[str, object]:
    return {
        "name": new.name,
        "address": new.address,
        "due_means": new.due_means,
        "transit_days": new.transit_days,
        "weight": new.weight,
        "active": new.active,
    }


def _refuse_taken_name(session: orm.Session, name: str, but_not: int | None) -> None:
    other = customers_by_name(session).get(name.casefold())
    if other is not None and other.id != but_not:
        raise CustomerNameTakenError(other.name)


def _open_delivery_ids(session: orm.Session, customer_id: int) -> list[int]:
    return list(
        session.scalars(
            sa.select(Delivery.id)
            .join(Delivery.line)
            .join(OrderLine.order)
            .where(CustomerOrder.customer_id == customer_id, Delivery.closed_at.is_(None))
        )
    )
