"""Two people who ship at the same moment: what is there leaves once."""

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

from sqlalchemy import orm

from app.shared.errors import RefusedError
from app.shipping.services import ship
from tests.factories.lots import act, whereabouts
from tests.factories.shipping import new_shipment


def both_at_once(engine, acts, new):
    """Ship the same content from two connections at once; return the shipments' ids or the refusals."""
    together = Barrier(2)

    def one(circumstances):
        with orm.Session(engine) as session:
            together.wait(timeout=20)
            try:
                return ship(session, circumstances, new).id
            except RefusedError as refused:
                return str(refused)

    with ThreadPoolExecutor(2) as pool:
        return list(pool.map(one, acts))


def test_the_same_form_from_two_places_ships_once(session, engine, lot, delivery):
    circumstances = act()
    new = new_shipment((lot, delivery, 30))
    session.rollback()
    first, second = both_at_once(engine, [circumstances, circumstances], new)
    assert first == second
    assert delivery.shipped == 30
    assert whereabouts(lot) == {"in_stock": 20, "shipped": 30}


def test_two_forms_that_want_the_same_pieces_do_not_both_get_them(session, engine, lot, delivery):
    new = new_shipment((lot, delivery, 30))
    session.rollback()
    answers = both_at_once(engine, [act(), act()], new)
    refused = [each for each in answers if isinstance(each, str)]
    assert len(refused) == 1
    assert "30 pieces are more than can be there" in refused[0]
    assert delivery.shipped == 30
