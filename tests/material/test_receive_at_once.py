"""Two people who receive, or issue the same pieces, at the same moment over two connections."""

import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import date

import pytest
from sqlalchemy import orm

from app.material import services
from app.material.errors import NotAtHandError
from app.material.models import Receipt
from app.material.services import NewReceipt
from tests.factories.lots import make_lot
from tests.factories.material import MaterialOrderLineFactory, ReceiptFactory
from tests.factories.stations import ShopFactory


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


def at_once(engine, *works):
    """Run each of ``works(session)`` on its own connection, begun together; return results and errors in order."""
    together = threading.Barrier(len(works))

    def run(work):
        with orm.Session(engine) as session:
            together.wait(10)
            try:
                return work(session)
            except NotAtHandError as error:
                return error

    with ThreadPoolExecutor(len(works)) as pool:
        return list(pool.map(run, works))


def test_receipts_recorded_at_once_get_different_numbers_and_close_the_line_once_all_is_in(session, engine, now):
    line_id = MaterialOrderLineFactory(units=60).id
    session.rollback()

    def receive(session):
        return services.receive(session, NewReceipt(15, date(2026, 1, 7), line_id), None, now).number

    numbers = at_once(engine, *[receive] * 4)
    assert len(set(numbers)) == 4
    session.rollback()
    receipts = session.query(Receipt).all()
    assert sum(receipt.pieces for receipt in receipts) == 60
    assert receipts[0].line.closed_at == now


def test_the_same_pieces_are_not_issued_twice(session, engine, now):
    receipt_id = ReceiptFactory(pieces=10).id
    lots = [make_lot(session).id for _ in range(2)]
    session.rollback()
    works = [lambda session, lot=lot: services.issue(session, receipt_id, lot, 7, None, now).pieces for lot in lots]
    results = at_once(engine, *works)
    assert sorted(map(str, results)) == ["7", str(next(each for each in results if each != 7))]
    assert isinstance(next(each for each in results if each != 7), NotAtHandError)
    session.rollback()
    assert session.get(Receipt, receipt_id).issued == 7
    assert services.recount_issued(session) == []
