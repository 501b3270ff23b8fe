"""Counts that do not agree with the books, and deliveries that come short because of them."""

import pytest

from app.lots.errors import CountAgreesError, CountChangedError, ReasonMissingError
from app.lots.models import LotOperation
from app.lots.queries import coming_short, ledger_of
from app.lots.queries.verify import differences
from app.lots.services import Count, begin, hold_pieces, recount, sign_off, undo
from app.lots.services.sign_off import SignOff
from app.people.models import Person, Role
from tests.factories.lots import act, make_lot, make_ordered_lot, station_of, whereabouts
from tests.factories.people import PersonFactory
from tests.factories.stations import ShopFactory


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


def counted(operation: LotOperation, pieces: int, **more) -> Count:
    facts = {
        "operation_id": operation.id,
        "pieces": pieces,
        "in_the_books": operation.present,
        "reason": "nobody knows",
    }
    return Count(**{**facts, **more})


def test_missing_pieces_leave_those_that_wait_first_then_open_jobs_and_held_ones_last(session):
    lot = make_lot(session, pieces=20)
    first = lot.operations[0]
    hold_pieces(session, act(), first.id, 4, "crack?")
    sign_off(session, act(), [SignOff(first.id, 10)])
    begin(session, act(station_id=station_of(first).id), [first.id])
    hold_pieces(session, act(), lot.operations[1].id, 3, "burr")
    recount(session, act(), lot.id, counted(first, 3))
    assert whereabouts(lot) == {"10 held": 3, "20 waiting": 7, "20 held": 3}
    assert list(differences(session)) == []


def test_found_pieces_wait_where_they_were_found_or_lie_in_stock(session):
    lot = make_lot(session, pieces=5)
    for operation in lot.operations:
        sign_off(session, act(), [SignOff(operation.id, 5)])
    assert lot.closed_at
    recount(session, act(), lot.id, Count(None, 6, 5, "one more in the box"))
    recount(session, act(), lot.id, counted(lot.operations[1], 2))
    assert whereabouts(lot) == {"20 waiting": 2, "in_stock": 6}
    assert lot.closed_at is None
    assert list(differences(session)) == []


@pytest.mark.parametrize(
    ("facts", "error"),
    [
        ({"pieces": 20}, CountAgreesError),
        ({"in_the_books": 19}, CountChangedError),
        ({"reason": " "}, ReasonMissingError),
    ],
)
def test_a_count_that_cannot_be_kept_is_refused(session, facts, error):
    lot = make_lot(session, pieces=20)
    with pytest.raises(error):
        recount(session, act(), lot.id, counted(lot.operations[0], **{"pieces": 18, **facts}))
    assert whereabouts(lot) == {"10 waiting": 20}


def test_a_recount_can_be_undone(session):
    lot = make_lot(session, pieces=20)
    posting = recount(session, act(), lot.id, counted(lot.operations[0], 18))
    undo(session, act(), posting.id)
    assert whereabouts(lot) == {"10 waiting": 20}
    assert list(differences(session)) == []


def test_the_lot_page_keeps_who_counted_and_who_wrote_it_down(as_owner, session):
    lot = make_lot(session, pieces=20)
    counter: Person = PersonFactory(name="Ina Brook", roles=[Role.OPERATOR])
    first = lot.operations[0]
    typed = {
        "count_form-place": f"{first.id}-20",
        "count_form-pieces": "17",
        "count_form-person_id": str(counter.id),
        "count_form-reason": "three fell behind the drum",
    }
    answer = as_owner.post(f"/lots/{lot.id}/recounts", data=typed)
    assert answer.status_code == 303
    session.rollback()
    [_start, posting] = ledger_of(session, lot.id)
    assert posting.person_id == counter.id
    assert posting.recorded_by_id != counter.id
    assert "three fell behind the drum" in as_owner.get(f"/lots/{lot.id}").text


def test_what_is_wrong_stands_beside_the_field_and_nothing_typed_is_lost(as_owner, session):
    lot = make_lot(session, pieces=20)
    typed = {
        "count_form-place": f"{lot.operations[0].id}-21",
        "count_form-pieces": "17",
        "count_form-person_id": str(PersonFactory().id),
        "count_form-reason": "seventeen on the cart",
    }
    answer = as_owner.post(f"/lots/{lot.id}/recounts", data=typed)
    assert answer.status_code == 422
    assert "they say 20 now" in answer.text
    assert 'value="seventeen on the cart"' in answer.text
    session.rollback()
    assert whereabouts(lot) == {"10 waiting": 20}


def test_the_delivery_that_comes_short_says_so_at_once_in_the_review(as_owner, session):
    lot = make_ordered_lot(session, pieces=20)
    assert coming_short(session) == []
    recount(session, act(), lot.id, counted(lot.operations[0], 17))
    session.commit()
    assert [short.missing for short in coming_short(session)] == [3]
    page = as_owner.get("/review").text
    assert "3 pieces short" in page
    order_id = lot.deliveries[0].delivery.line.order_id
    assert f"/orders/{order_id}/cover" in page
    shown = as_owner.get(f"/orders/{order_id}/cover").text
    assert "3 pieces short" in shown
    assert "Release a make-up lot" in shown
    assert "Agree on fewer pieces" in shown
    release = as_owner.get(f"/lots/new?delivery={lot.deliveries[0].delivery_id}").text
    assert 'value="3"' in release
