"""Goods come back: a lot of their own, what is decided about it, and never more than left."""

import html
import itertools
from datetime import date

import pytest
import sqlalchemy as sa

from app.lots.errors import CannotUndoError, KeyReusedError, NotFreeError
from app.lots.models import Posting, Verb
from app.lots.queries import lot_name, taken_back
from app.lots.services import Inspection, SignOff, blanks_wanted, sign_off, start_fewer, undo
from app.orders.models import Delivery
from app.shared.errors import RefusedError
from app.shipping.models import GoodsReturn, Outcome, ReturnDecision
from app.shipping.queries import on_time_of_customer
from app.shipping.services import NewDecision, NewReturn, add_return, decide_return, take_back_shipment
from tests.factories.lots import act, whereabouts
from tests.factories.parts import OperationKindFactory, RoutingOperationFactory
from tests.factories.schedule import forecast_of, plan_now
from tests.factories.shipping import TODAY, make_shipment
from tests.statements import counted

KEYS = itertools.count(1)
DUE = date(2026, 1, 20)


@pytest.fixture
def line(session, lot, delivery):
    """40 of the 50 pieces left with a shipment that fills nothing yet."""
    return make_shipment(session, (lot, delivery, 40)).lines[0]


def inspection(lot, seconds=60):
    first = lot.operations[0]
    return Inspection(first.kind_id, first.work_center_id, seconds)


def back(session, line, pieces=10, **more):
    facts = {"came_on": TODAY, "reason": "bore too small", "their_reference": "RMA-7"}
    facts["inspection"] = inspection(line.lot)
    returned = add_return(session, act(), NewReturn(line.id, pieces, **facts | more))
    session.commit()
    return returned


def decide(session, returned, outcome, pieces, **more):
    made = decide_return(session, act(), NewDecision(returned.id, outcome, pieces, **more))
    session.commit()
    return made


def typed(line, **more):
    sent = {"pieces": "10", "came_on": "2026-01-07", "reason": "bore too small", "their_reference": "RMA-7"}
    return sent | {"key": f"back-{next(KEYS)}", "operation_ids": str(line.lot.operations[0].id)} | more


def said(answer):
    return html.unescape(answer.text)


def test_a_return_is_a_lot_of_its_own_with_the_operations_chosen(session, line):
    again = line.lot.operations[0]
    returned = back(session, line, operation_ids=(again.id,))
    lot = returned.lot
    assert (lot.parent_id, lot.is_return, lot.needed, lot.started) == (line.lot_id, True, 10, 10)
    assert [(each.number, each.title, each.cycle_ms) for each in lot.operations] == [
        (10, "Inspect what came back", 60_000),
        (20, again.title, again.cycle_ms),
    ]
    assert whereabouts(lot) == {"10 waiting": 10}
    assert (line.lot.shipped, taken_back(session, line.lot_id)) == (40, 10)
    entry = session.scalars(sa.select(Posting).where(Posting.verb == Verb.TAKE_BACK)).one().entries[0]
    assert (entry.other_lot_id, entry.quantity, entry.reason) == (line.lot_id, 10, "bore too small")


def test_what_came_back_takes_no_blanks(session, line):
    assert blanks_wanted(session, back(session, line).lot) == 0


def test_never_more_comes_back_than_left_less_what_came_back_before(session, line):
    back(session, line, 30)
    with pytest.raises(RefusedError, match="40 left with this shipment and 10 of them have not come back yet"):
        back(session, line, 11)
    session.rollback()
    back(session, line, 10)
    assert taken_back(session, line.lot_id) == 40


def test_another_shipment_of_the_same_lot_counts_for_itself(session, line, lot, delivery):
    other = make_shipment(session, (lot, delivery, 10)).lines[0]
    with pytest.raises(RefusedError, match="10 left with this shipment"):
        back(session, other, 11)
    session.rollback()
    back(session, other, 10)
    back(session, line, 40)


def test_a_return_entered_by_mistake_is_started_with_fewer_and_may_come_back_then(session, line):
    returned = back(session, line, 40)
    start_fewer(session, act(), returned.lot_id, 40)
    session.commit()
    assert (returned.pieces, returned.lot.closed_at is not None) == (0, True)
    back(session, line, 40)


def test_it_is_not_undone_from_the_ledger(session, line):
    back(session, line)
    posting = session.scalars(sa.select(Posting).where(Posting.verb == Verb.TAKE_BACK)).one()
    with pytest.raises(CannotUndoError):
        undo(session, act(), posting.id)


def test_a_shipment_of_which_goods_came_back_is_not_taken_back(session, line, as_owner):
    back(session, line)
    with pytest.raises(CannotUndoError, match="10 of the shipped pieces"):
        take_back_shipment(session, act(), line.shipment_id, "wrong box")
    session.rollback()
    answer = as_owner.post(f"/shipments/{line.shipment_id}/taken-back", data={"reason": "wrong box"})
    assert answer.status_code == 422
    assert "came back already, as a lot of their own" in said(answer)
    session.rollback()
    assert line.shipment.taken_back_at is None


def test_the_same_form_counts_once(session, line):
    new = NewReturn(line.id, 10, TODAY, "bore too small", inspection=inspection(line.lot))
    once = act()
    first = add_return(session, once, new)
    assert add_return(session, once, new).id == first.id
    with pytest.raises(KeyReusedError, match="return 1 of 10 pieces"):
        add_return(session, once, NewReturn(line.id, 9, TODAY, "bore too small", inspection=inspection(line.lot)))
    session.rollback()
    assert taken_back(session, line.lot_id) == 10


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"pieces": "41"}, "40 of them have not come back yet: enter that many or fewer."),
        ({"pieces": "0"}, "It must be 1 or more."),
        ({"pieces": ""}, "Enter how many came back."),
        ({"reason": ""}, "Say why they came back."),
        ({"came_on": "2026-01-08"}, "It cannot have come back after today"),
        ({"came_on": "2026-01-06"}, "It cannot have come back before it left, Wed 7 Jan 2026."),
        ({"operation_ids": []}, "Choose an inspection above, or at least one operation that is done again."),
    ],
)
def test_a_wrong_return_is_refused_beside_the_field_and_nothing_is_kept(session, line, as_setup_lead, sent, told):
    answer = as_setup_lead.post(f"/shipments/lines/{line.id}/returns", data=typed(line, **sent))
    assert answer.status_code == 422
    assert told in said(answer)
    assert 'value="RMA-7"' in answer.text
    session.rollback()
    assert session.scalars(sa.select(sa.func.count(GoodsReturn.id))).one() == 0
    assert taken_back(session, line.lot_id) == 0


def test_a_usual_inspection_is_proposed_and_recorded(session, line, as_setup_lead):
    operation = RoutingOperationFactory(kind=OperationKindFactory(name="Inspection"), number=90)
    key = f"{operation.kind_id}-{operation.work_center_id}"
    page = as_setup_lead.get(f"/shipments/lines/{line.id}/returns/new").text
    assert f'selected value="{key}"' in page
    answer = as_setup_lead.post(
        f"/shipments/lines/{line.id}/returns", data=typed(line, inspect_at=key, inspect_seconds="90")
    )
    assert answer.status_code == 303
    session.rollback()
    [returned] = session.scalars(sa.select(GoodsReturn))
    first, _again = returned.lot.operations
    assert (first.kind.name, first.cycle_ms) == ("Inspection", 90_000)


def test_it_shows_at_the_shipment_the_lots_the_part_and_in_the_list(session, line, as_operator):
    returned = back(session, line)
    part_id = line.lot.revision.part_id
    for page in (
        f"/shipments/{line.shipment_id}",
        f"/shipments/of-lot/{line.lot_id}",
        f"/shipments/of-lot/{returned.lot_id}",
        f"/returns/of-part/{part_id}",
        "/returns",
        f"/returns/{returned.id}",
    ):
        told = said(as_operator.get(page))
        assert "bore too small" in told, page
        assert lot_name(returned.lot) in told, page
    assert f"/returns/of-part/{part_id}" in as_operator.get(f"/parts/{part_id}").text
    assert "Came back from a customer; shipped from lot" in as_operator.get(f"/lots/{returned.lot_id}").text
    assert "<form" not in said(as_operator.get(f"/returns/{returned.id}")).split("<main")[1]


def test_pieces_sent_again_are_owed_by_a_delivery_of_their_own_and_due(session, line, now):
    returned = back(session, line)
    decision = decide(session, returned, Outcome.SHIP_AGAIN, 6, due=DUE, decided_by_id=None)
    delivery = decision.delivery
    assert (delivery.quantity, delivery.due, delivery.is_replacement) == (6, DUE, True)
    assert delivery.line_id == line.delivery.line_id
    assert [(share.delivery_id, share.quantity) for share in returned.lot.deliveries] == [(delivery.id, 6)]
    assert returned.lot.due_on == DUE
    plan_now(session, now)
    found = forecast_of(session, returned.lot)
    assert found.due_at is not None
    assert not found.late


def test_reworked_pieces_leave_again_and_fill_it(session, line):
    returned = back(session, line)
    delivery = decide(session, returned, Outcome.SHIP_AGAIN, 10, due=DUE).delivery
    sign_off(session, act(), [SignOff(returned.lot.operations[0].id, 10)])
    session.commit()
    make_shipment(session, (returned.lot, delivery, 10))
    assert delivery.closed_at is not None
    assert on_time_of_customer(session, line.shipment.customer_id).deliveries == 0


def test_scrap_leaves_the_lot_but_not_what_is_to_be_sent_again(session, line):
    returned = back(session, line)
    decide(session, returned, Outcome.SHIP_AGAIN, 6, due=DUE)
    with pytest.raises(NotFreeError):
        decide(session, returned, Outcome.SCRAP, 5)
    session.rollback()
    decide(session, returned, Outcome.SCRAP, 4, note="cracked")
    assert whereabouts(returned.lot) == {"10 waiting": 6, "10 scrapped": 4}


def test_a_credit_is_kept_with_who_decided_and_what_is_left_is_said(session, line, as_setup_lead):
    returned = back(session, line)
    who = as_setup_lead.person
    sent = {"outcome": "credit", "pieces": "4", "decided_by_id": str(who.id), "note": "half price", "key": "credit"}
    for _ in range(2):  # the same form twice
        assert as_setup_lead.post(f"/returns/{returned.id}/decisions", data=sent).status_code == 303
    page = said(as_setup_lead.get(f"/returns/{returned.id}"))
    assert f"decided by {who.name}" in page
    assert "6 pieces undecided" in page
    session.rollback()
    assert session.scalars(sa.select(sa.func.count(ReturnDecision.id))).one() == 1


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"outcome": "credit", "pieces": "11"}, "10 are not sent again or credited yet: enter that many or fewer."),
        ({"outcome": "ship again", "pieces": "5"}, "Enter the day that was agreed for sending them again."),
        ({"outcome": "ship again", "pieces": "5", "due": "2026-01-01"}, "It cannot be due before the order was"),
        ({"outcome": "scrap", "pieces": "11"}, "11"),
        ({"pieces": "1"}, "Choose what is decided."),
        ({"outcome": "credit"}, "Enter for how many."),
    ],
)
def test_a_wrong_decision_is_refused_beside_the_field_and_nothing_is_kept(session, line, as_setup_lead, sent, told):
    returned = back(session, line)
    deliveries = session.scalars(sa.select(sa.func.count(Delivery.id))).one()
    answer = as_setup_lead.post(
        f"/returns/{returned.id}/decisions", data={"decided_by_id": str(as_setup_lead.person.id), **sent}
    )
    assert answer.status_code == 422
    assert told in said(answer)
    session.rollback()
    assert session.scalars(sa.select(sa.func.count(ReturnDecision.id))).one() == 0
    assert session.scalars(sa.select(sa.func.count(Delivery.id))).one() == deliveries
    assert whereabouts(returned.lot) == {"10 waiting": 10}


def test_who_is_not_of_the_office_records_and_decides_nothing(session, line, as_operator):
    returned = back(session, line)
    assert as_operator.post(f"/shipments/lines/{line.id}/returns", data=typed(line)).status_code == 403
    assert as_operator.post(f"/returns/{returned.id}/decisions", data={}).status_code == 403


def test_what_is_not_there_is_said_to_be_missing(as_owner):
    assert as_owner.get("/returns/99").status_code == 404
    assert as_owner.get("/shipments/lines/99/returns/new").status_code == 404


def test_the_part_s_record_takes_as_many_statements_for_many_returns(session, line, as_owner, engine):
    address = f"/returns/of-part/{line.lot.revision.part_id}"
    back(session, line, 1)
    as_owner.get(address)
    with counted(engine) as few:
        as_owner.get(address)
    for _ in range(5):
        back(session, line, 1)
    with counted(engine) as many:
        as_owner.get(address)
    assert len(many) == len(few)
