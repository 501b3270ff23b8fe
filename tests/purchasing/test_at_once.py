"""Two people at the same moment: blanks are ordered once, and no more is issued than is at hand."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.material.errors import NotAtHandError
from app.material.models import MaterialOrderLine
from app.purchasing.queries import Key
from app.purchasing.services import NewPurchase, PurchaseLine, Share, issue_receipt, order_material
from app.shared.errors import RefusedError
from tests.factories.lots import act, whereabouts
from tests.factories.material import VendorFactory
from tests.factories.purchasing import TODAY, make_receipt, make_waiting_lot


def both_at_once(engine: sa.Engine, *tasks: Callable[[orm.Session], Any]) -> list[str]:
    """Run each task with a connection of its own at once; return what refused them."""
    together = Barrier(len(tasks))

    def one(task: Callable[[orm.Session], Any]) -> str:
        with orm.Session(engine) as session:
            together.wait(timeout=20)
            try:
                task(session)
            except (RefusedError, NotAtHandError) as refused:
                return str(refused)
        return ""

    with ThreadPoolExecutor(len(tasks)) as pool:
        return [each for each in pool.map(one, tasks) if each]


def test_the_same_blanks_are_ordered_once(session, engine, blank):
    VendorFactory(name="Nettle Steel")
    new = NewPurchase(
        "Nettle Steel", TODAY, (PurchaseLine(Key(blank.id), (Share(make_waiting_lot(session, blank).id, 30),)),)
    )
    session.rollback()

    def order(own):
        order_material(own, act(), new)

    [refused] = both_at_once(engine, order, order)
    assert "30 of them are at hand or on order already" in refused
    assert session.scalars(sa.select(sa.func.count(MaterialOrderLine.id))).one() == 1


def test_one_receipt_is_not_issued_twice_whichever_lot_comes_first(session, engine, blank):
    lots = [make_waiting_lot(session, blank) for _ in range(2)]
    receipt = make_receipt(session, None, 40, revision=blank)
    receipt_id, ids = receipt.id, [lot.id for lot in lots]
    session.rollback()

    def issue(*shares):
        return lambda own: issue_receipt(own, act(), receipt_id, [Share(lot_id, pieces) for lot_id, pieces in shares])

    refused = both_at_once(engine, issue((ids[0], 15), (ids[1], 15)), issue((ids[1], 15), (ids[0], 15)))
    assert len(refused) == 1
    assert receipt.issued == 30
    assert [whereabouts(lot) for lot in lots] == [{"5 waiting": 15, "10 waiting": 15}] * 2
