"""What was agreed about a delivery stays on record: changes, cancellation, another revision, standing orders."""

import html
import itertools
from datetime import UTC, date, datetime

import pytest
import sqlalchemy as sa

from app.orders import services
from app.orders.errors import AgreedOtherwiseError, BeyondStandingError, NothingLeftError
from app.orders.models import Agreed, Agreement, Delivery, OrderLine
from app.orders.services import NewDelivery, NewLine, NewOrder, Talk, Terms
from app.shared.errors import RefusedError
from tests.factories.orders import CustomerFactory, DeliveryFactory, OrderLineFactory
from tests.factories.parts import RevisionFactory
from tests.factories.stations import ShopFactory
from tests.statements import counted

KEYS = itertools.count(1)
NOON = datetime(2026, 1, 7, 18, tzinfo=UTC)
DUE = date(2026, 2, 6)


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


@pytest.fixture
def delivery(session):
    return DeliveryFactory(line__order__their_number="BW-1")


@pytest.fixture
def standing(session):
    """A standing order for 100, of which 40 are called off."""
    return DeliveryFactory(line__standing_quantity=100, quantity=40).line


def talk(**facts):
    return Talk(**{"key": f"agreed-{next(KEYS)}", "now": NOON, "agreed_with": "Ms Ito"} | facts)


def on_record(session, delivery):
    session.rollback()
    rows = session.scalars(sa.select(Agreement).where(Agreement.delivery_id == delivery.id).order_by(Agreement.id))
    return [(each.what, each.quantity, each.due) for each in rows]


def sent(delivery, **more):
    kept = {"quantity": "50", "due": "2026-02-06", "agreed_with": "Ms Ito", "key": f"sent-{next(KEYS)}"}
    return kept | {"revision_id": str(delivery.line.revision_id)} | more


def said(answer):
    return html.unescape(answer.text)


def test_the_first_promise_is_on_record_from_the_day_the_order_was_taken(session):
    CustomerFactory(name="Brightwater Pumps")
    revision = RevisionFactory()
    line = NewLine(revision.part.number, (NewDelivery(50, DUE),))
    new = NewOrder("Brightwater Pumps", "BW-9", date(2026, 1, 7), (line,))
    order = services.add_order(session, new, None, NOON)
    kept = session.scalars(sa.select(Agreement)).one()
    assert (kept.what, kept.quantity, kept.due) == (Agreed.FIRST, 50, DUE)
    assert (kept.delivery.line.order_id, kept.revision_id, kept.recorded_at) == (order.id, revision.id, NOON)


def test_each_later_agreement_is_added_with_who_agreed_and_who_wrote_it_down(delivery, as_owner, session):
    as_owner.post(f"/orders/deliveries/{delivery.id}", data=sent(delivery, quantity="40", note="cash is short"))
    as_owner.post(f"/orders/deliveries/{delivery.id}", data=sent(delivery, quantity="40", due="2026-03-06"))
    assert on_record(session, delivery) == [
        (Agreed.CHANGED, 40, DUE),
        (Agreed.CHANGED, 40, date(2026, 3, 6)),
    ]
    page = said(as_owner.get(f"/orders/deliveries/{delivery.id}"))
    for shown in ("Ms Ito", as_owner.person.name, "cash is short", "Fri 6 Mar 2026", "First promised"):
        assert shown in page


def test_the_same_form_counts_once_and_other_content_is_refused(delivery, session):
    once = talk()
    for _ in range(2):
        services.change_delivery(session, delivery.id, Terms(40, DUE), once)
    assert on_record(session, delivery) == [(Agreed.CHANGED, 40, DUE)]
    with pytest.raises(AgreedOtherwiseError, match="changed, 40"):
        services.change_delivery(session, delivery.id, Terms(30, DUE), once)


def test_a_key_used_otherwise_is_said_beside_the_field_and_nothing_typed_is_lost(delivery, as_owner, session):
    first = sent(delivery, quantity="40")
    as_owner.post(f"/orders/deliveries/{delivery.id}", data=first)
    answer = as_owner.post(f"/orders/deliveries/{delivery.id}", data=first | {"quantity": "33"})
    assert answer.status_code == 422
    assert "recorded before (changed, 40) with other content" in said(answer)
    assert 'value="33"' in answer.text
    assert on_record(session, delivery) == [(Agreed.CHANGED, 40, DUE)]


def test_a_cancelled_delivery_closes_with_reason_and_who_and_opens_again(delivery, as_owner, session, now):
    data = {"cancel-reason": "their line is stopped", "cancel-agreed_with": "Mr Osei"}
    assert as_owner.post(f"/orders/deliveries/{delivery.id}/cancel", data=data).status_code == 303
    session.rollback()
    session.refresh(delivery)
    assert (delivery.closed_at, delivery.cancelled_reason) == (now, "their line is stopped")
    page = said(as_owner.get(f"/orders/deliveries/{delivery.id}"))
    assert "Cancelled by the customer: their line is stopped." in page
    assert "Mr Osei" in page
    assert "Cancelled, 50 not sent" in as_owner.get(f"/orders/{delivery.line.order_id}").text
    assert as_owner.post(f"/orders/deliveries/{delivery.id}/reopen", data={"key": "open"}).status_code == 303
    session.rollback()
    session.refresh(delivery)
    assert (delivery.closed_at, delivery.cancelled_reason) == (None, "")
    assert [what for what, *_ in on_record(session, delivery)] == [Agreed.CANCELLED, Agreed.REOPENED]


@pytest.mark.parametrize(
    ("data", "told"),
    [
        ({"cancel-agreed_with": "Mr Osei"}, "Say why it is cancelled; it stays on record."),
        ({"cancel-reason": "stopped"}, "Say who cancelled; it stays on record."),
        ({"cancel-reason": "x" * 201, "cancel-agreed_with": "Mr Osei"}, "Use 200 characters or fewer."),
    ],
)
def test_a_cancellation_without_reason_or_name_is_refused_beside_the_field(delivery, as_owner, session, data, told):
    answer = as_owner.post(f"/orders/deliveries/{delivery.id}/cancel", data=data)
    assert answer.status_code == 422
    assert told in said(answer)
    assert on_record(session, delivery) == []


def test_closing_short_keeps_who_agreed_to_fewer_and_asks_for_it(delivery, as_owner, session, now):
    services.add_shipped(session, delivery.id, 20, NOON)
    path = f"/orders/deliveries/{delivery.id}/close"
    assert "Say who agreed to fewer; it stays on record." in said(as_owner.post(path, data={"key": "short"}))
    data = {"key": "short", "short-key": "short", "short-agreed_with": "Mr Osei", "short-note": "30 next year"}
    for _ in range(2):
        assert as_owner.post(path, data=data).status_code == 303
    page = said(as_owner.get(f"/orders/deliveries/{delivery.id}"))
    assert "Mr Osei" in page
    assert "30 next year" in page
    assert [what for what, *_ in on_record(session, delivery)] == [Agreed.CLOSED_SHORT]
    session.rollback()
    session.refresh(delivery)
    assert delivery.closed_at == now


def test_what_is_closed_is_not_cancelled(delivery, as_owner, session):
    services.close_delivery(session, delivery.id, talk())
    with pytest.raises(NothingLeftError):
        services.cancel_delivery(session, delivery.id, talk(note="late"))
    data = {"cancel-reason": "late", "cancel-agreed_with": "Mr Osei"}
    told = said(as_owner.post(f"/orders/deliveries/{delivery.id}/cancel", data=data))
    assert "closed already: nothing of it is left to cancel" in told


def test_a_shipment_taken_back_does_not_open_a_cancelled_delivery(delivery, session):
    services.add_shipped(session, delivery.id, 10, NOON)
    services.cancel_delivery(session, delivery.id, talk(note="late"))
    services.add_shipped(session, delivery.id, -10, NOON)
    assert delivery.closed_at == NOON


def test_a_line_s_only_delivery_takes_the_line_to_the_new_revision(delivery, as_owner, session):
    newer = RevisionFactory(part=delivery.line.revision.part, label="B", current=False)
    answer = as_owner.post(f"/orders/deliveries/{delivery.id}", data=sent(delivery, revision_id=str(newer.id)))
    assert answer.status_code == 303
    session.rollback()
    session.refresh(delivery)
    assert (delivery.line.number, delivery.line.revision_id) == (1, newer.id)
    assert session.scalars(sa.select(Agreement.revision_id)).one() == newer.id


def test_one_of_several_deliveries_goes_to_a_line_of_the_new_revision(delivery, session):
    line, other = delivery.line, DeliveryFactory(line=delivery.line, quantity=7)
    third = DeliveryFactory(line=delivery.line, quantity=8)
    newer = RevisionFactory(part=line.revision.part, label="B", current=False)
    services.change_delivery(session, other.id, Terms(7, DUE, newer.id), talk())
    services.change_delivery(session, third.id, Terms(8, DUE, newer.id), talk())
    lines = session.scalars(sa.select(OrderLine).order_by(OrderLine.number)).all()
    assert [(each.number, each.revision.label) for each in lines] == [(1, "A"), (2, "B")]
    assert [each.quantity for each in lines[1].deliveries] == [7, 8]
    assert lines[1].price == line.price


def test_a_revision_is_refused_once_pieces_have_left_and_when_it_is_of_another_part(delivery, as_owner, session):
    strange = RevisionFactory()
    answer = as_owner.post(f"/orders/deliveries/{delivery.id}", data=sent(delivery, revision_id=str(strange.id)))
    assert answer.status_code == 422
    with pytest.raises(RefusedError, match="Choose a revision of"):
        services.change_delivery(session, delivery.id, Terms(50, DUE, strange.id), talk())
    services.add_shipped(session, delivery.id, 20, NOON)
    newer = RevisionFactory(part=delivery.line.revision.part, label="B", current=False)
    told = said(as_owner.post(f"/orders/deliveries/{delivery.id}", data=sent(delivery, revision_id=str(newer.id))))
    assert "20 pieces of it have left as revision A. Agree on that many for this delivery" in told
    assert on_record(session, delivery) == []


def test_an_ordinary_line_becomes_a_standing_order_but_not_below_what_is_called_off(delivery, as_owner, session):
    line = delivery.line
    low = as_owner.post(f"/orders/lines/{line.id}", data={"price": "2", "standing_quantity": "49"})
    assert low.status_code == 422
    assert "50 pieces are called off already: enter that many or more" in said(low)
    assert as_owner.post(f"/orders/lines/{line.id}", data={"price": "2", "standing_quantity": "500"}).status_code == 303
    page = as_owner.get(f"/orders/{line.order_id}").text
    assert "Standing order for 500: 50 called off, 450 remain." in page
    assert "Call off" in page


def test_call_offs_beyond_the_total_are_refused_unless_agreed_and_then_raise_it(standing, as_owner, session):
    address = f"/orders/lines/{standing.id}/deliveries"
    data = {"quantity": "61", "due": "2026-03-06", "key": "call-1"}
    refused = as_owner.post(address, data=data)
    assert refused.status_code == 422
    told = said(refused)
    assert "Only 60 of the standing order's 100 are not called off yet." in told
    assert "The customer agreed to a higher total" in told
    assert session.scalars(sa.select(sa.func.count(Delivery.id))).one() == 1
    for _ in range(2):  # the same form twice
        assert as_owner.post(address, data=data | {"over_agreed": "y", "agreed_with": "Ms Ito"}).status_code == 303
    session.rollback()
    assert [each.quantity for each in standing.deliveries] == [40, 61]
    assert (standing.standing_quantity, standing.remaining) == (101, 0)


def test_a_changed_call_off_stays_within_the_total(standing, session):
    [call_off] = standing.deliveries
    with pytest.raises(RefusedError, match="Only 100 of the standing order's 100"):
        services.change_delivery(session, call_off.id, Terms(101, DUE), talk())
    session.rollback()
    services.change_delivery(session, call_off.id, Terms(100, DUE), talk())
    assert standing.remaining == 0


def test_what_a_cancelled_call_off_leaves_can_be_called_off_by_another(standing, session):
    [call_off] = standing.deliveries
    services.add_shipped(session, call_off.id, 10, NOON)
    services.cancel_delivery(session, call_off.id, talk(note="less demand"))
    assert (standing.called_off, standing.remaining) == (10, 90)
    services.add_delivery(session, standing.id, Terms(90, DUE), talk())
    with pytest.raises(BeyondStandingError):
        services.reopen_delivery(session, call_off.id, talk())
    session.rollback()
    assert call_off.cancelled_reason == "less demand"


def test_goods_sent_again_are_no_call_off(standing, session):
    services.add_delivery(session, standing.id, Terms(99, DUE), talk(), is_replacement=True)
    assert standing.remaining == 60


def test_a_call_off_among_others_stays_of_its_line_s_revision(standing, session):
    DeliveryFactory(line=standing, quantity=5)
    newer = RevisionFactory(part=standing.revision.part, label="B", current=False)
    with pytest.raises(RefusedError, match="called off against the standing order of line 1"):
        services.change_delivery(session, standing.deliveries[0].id, Terms(40, DUE, newer.id), talk())


def test_a_rush_says_who_and_since_when(delivery, as_owner, session, now):
    as_owner.post(f"/orders/lines/{delivery.line_id}", data={"price": "2", "rush": "y"})
    session.rollback()
    session.refresh(delivery.line)
    assert delivery.line.rush_at == now
    assert (
        f"Rush, said {as_owner.person.name}</strong> Wed 7 Jan 09:00"
        in as_owner.get(f"/orders/{delivery.line.order_id}").text
    )


def test_a_delivery_s_page_takes_as_many_statements_for_a_long_history(delivery, as_owner, session, engine):
    address = f"/orders/deliveries/{delivery.id}"
    as_owner.get(address)
    with counted(engine) as short:
        as_owner.get(address)
    for pieces in range(60, 75):
        services.change_delivery(session, delivery.id, Terms(pieces, DUE), talk())
    with counted(engine) as long:
        as_owner.get(address)
    assert len(long) == len(short)


def test_everybody_sees_a_delivery_and_only_an_owner_is_offered_changes(delivery, as_owner, as_operator):
    assert "Keep what was agreed" in as_owner.get(f"/orders/deliveries/{delivery.id}").text
    page = as_operator.get(f"/orders/deliveries/{delivery.id}")
    assert page.status_code == 200
    assert "<form" not in page.text.split("<main")[1]


def test_a_line_s_standing_total_is_never_below_one(session):
    with pytest.raises(sa.exc.IntegrityError):
        OrderLineFactory(standing_quantity=0)
