"""Invented customers and orders."""

from datetime import date

import factory

from app.orders.models import Customer, CustomerOrder, Delivery, OrderLine
from tests.factories.base import ModelFactory
from tests.factories.parts import RevisionFactory


class CustomerFactory(ModelFactory):
    class Meta:
        model = Customer

    name = factory.Sequence(lambda n: f"Brightwater Pumps {n}")


class CustomerOrderFactory(ModelFactory):
    class Meta:
        model = CustomerOrder

    customer = factory.SubFactory(CustomerFactory)
    their_number = factory.Sequence(lambda n: f"BW-{4000 + n}")
    received_on = date(2026, 1, 5)


class OrderLineFactory(ModelFactory):
    class Meta:
        model = OrderLine

    order = factory.SubFactory(CustomerOrderFactory)
    number = 1
    revision = factory.SubFactory(RevisionFactory)


class DeliveryFactory(ModelFactory):
    class Meta:
        model = Delivery

    line = factory.SubFactory(OrderLineFactory)
    quantity = 50
    due = date(2026, 2, 6)
    first_due = date(2026, 2, 6)
