"""Two people who take the same order at the same moment over two connections."""

import threading
from concurrent.futures import ThreadPoolExecutor

import sqlalchemy as sa
from sqlalchemy import orm

from app.orders import services
from app.orders.models import Customer, CustomerOrder
from app.shared.errors import RefusedError
from tests.factories.parts import RevisionFactory
from tests.factories.stations import ShopFactory
from tests.orders.typed import order_input


def test_the_same_order_taken_twice_at_once_is_kept_once_with_one_new_customer(session, engine, now):
    ShopFactory()
    RevisionFactory(part__number="HB-100")
    session.rollback()
    together = threading.Barrier(3)

    def take(_number):
        with orm.Session(engine) as own:
            together.wait(10)
            try:
                return services.add_order(own, order_input(new_customer=True), None, now).their_number
            except RefusedError as refused:
                return str(refused)

    with ThreadPoolExecutor(3) as pool:
        told = sorted(pool.map(take, range(3)))
    assert told[0] == "BW-1"
    assert all("already has an order BW-1" in each for each in told[1:])
    session.rollback()
    assert session.scalars(sa.select(sa.func.count(CustomerOrder.id))).one() == 1
    assert session.scalars(sa.select(sa.func.count(Customer.id))).one() == 1
