"""The page of blanks: what to order, what to issue, what is on order; and the same for the review."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from app.lots.models import Lot
from app.material.models import Origin
from app.material.services import move_expected
from app.parts.models import BlankForm, BlankSource
from app.purchasing.queries import material_to_chase, material_to_order, wanted_articles
from app.schedule.models import LotForecast, Outlook
from tests.factories.lots import MORNING
from tests.factories.purchasing import (
    TODAY,
    make_blank,
    make_blank_order,
    make_receipt,
    make_waiting_lot,
)
from tests.statements import counted

OVERDUE = date(2026, 1, 20)


def forecast(session, lot, slack: timedelta):
    seconds = int(slack.total_seconds())
    session.add(LotForecast(lot_id=lot.id, outlook=Outlook.EXPECTED, slack_seconds=seconds, late=seconds < 0, waits=[]))
    session.commit()


def told(found):
    return [
        (each.article.key.revision_id, each.pieces, each.units, [need.lot.id for need in each.needs]) for each in found
    ]


def needs(session):
    return [need for each in wanted_articles(session) for need in each.needs]


def test_lots_that_wait_for_blanks_are_grouped_by_blank_in_the_vendors_unit(session, blank):
    lots = [make_waiting_lot(session, blank) for _ in range(2)]
    bar = make_blank(form=BlankForm.BAR, pieces_per_unit=4)
    single = make_waiting_lot(session, bar, pieces=5)
    found = sorted(told(material_to_order(session, TODAY)))
    assert found == [(blank.id, 60, 7, [lot.id for lot in lots]), (bar.id, 5, 2, [single.id])]


def test_what_is_at_hand_or_on_order_is_not_ordered_again(session, blank):
    lot = make_waiting_lot(session, blank, pieces=40)
    make_receipt(session, None, 6, revision=blank)
    make_blank_order(session, blank, (lot, 18))
    assert told(material_to_order(session, TODAY)) == [(blank.id, 16, 2, [lot.id])]
    [need] = needs(session)
    assert (need.at_hand, need.on_order, need.to_order) == (6, 18, 16)


def test_what_a_plate_gives_more_covers_the_next_lot(session, blank):
    make_blank_order(session, blank, (make_waiting_lot(session, blank, pieces=30), 30))
    other = make_waiting_lot(session, blank, pieces=10)
    assert told(material_to_order(session, TODAY)) == [(blank.id, 4, 1, [other.id])]


def test_a_cancelled_rest_must_be_ordered_again(session, blank):
    lot = make_waiting_lot(session, blank)
    order = make_blank_order(session, blank, (lot, 30))
    assert material_to_order(session, TODAY) == []
    order.lines[0].closed_at = MORNING
    session.commit()
    assert told(material_to_order(session, TODAY)) == [(blank.id, 30, 4, [lot.id])]


def test_rejected_pieces_are_still_expected(session, blank):
    order = make_blank_order(session, blank, (make_waiting_lot(session, blank), 30))
    make_receipt(session, order, 20, rejected=10, reject_reason="bent")
    assert material_to_order(session, TODAY) == []
    [need] = needs(session)
    assert (need.at_hand, need.on_order) == (20, 10)


def test_a_finished_lot_and_one_that_has_its_blanks_wait_for_nothing(session, blank):
    lot = make_waiting_lot(session, blank)
    session.get_one(Lot, lot.id).closed_at = MORNING
    session.commit()
    assert needs(session) == []
    lot.closed_at = None
    session.commit()


@pytest.mark.parametrize(
    ("slack", "needed_by", "order_by"),
    [
        (timedelta(days=3, hours=5), date(2026, 1, 15), date(2026, 1, 9)),
        (timedelta(hours=2), date(2026, 1, 12), date(2026, 1, 7)),
        (-timedelta(days=1, hours=2), date(2026, 1, 9), date(2026, 1, 2)),  # Saturday is too late for a carrier
    ],
)
def test_the_slack_of_the_forecast_says_by_when(session, blank, slack, needed_by, order_by):
    forecast(session, make_waiting_lot(session, blank), slack)
    [found] = material_to_order(session, TODAY)
    assert (found.needed_by, found.order_by) == (needed_by, order_by)


def test_without_a_forecast_the_due_date_has_to_do(session, blank):
    make_waiting_lot(session, blank, due=date(2026, 2, 6))
    make_waiting_lot(session, blank, due=None)
    [found] = material_to_order(session, TODAY)
    assert (found.needed_by, found.order_by) == (date(2026, 2, 6), date(2026, 1, 30))


def test_a_stock_lot_without_a_date_has_none(session, blank):
    make_waiting_lot(session, blank, due=None)
    [found] = material_to_order(session, TODAY)
    assert (found.needed_by, found.order_by) == (None, None)


def test_the_review_is_told_what_it_is_in_words(session, blank):
    make_waiting_lot(session, blank)
    [found] = material_to_order(session, TODAY)
    assert found.what == f"Plate 20 x 90 x 140 for {blank.part.number} A"
    blank.blank_source = BlankSource.CUSTOMER
    session.commit()
    [found] = material_to_order(session, TODAY)
    assert found.what == f"Plate 20 x 90 x 140 for {blank.part.number} A, from the customer"


def test_a_line_is_chased_from_the_day_after_it_was_expected(session, blank):
    lot = make_waiting_lot(session, blank)
    order = make_blank_order(session, blank, (lot, 30))
    line = order.lines[0]
    assert line.expected_on == date(2026, 1, 12)
    assert material_to_chase(session, date(2026, 1, 12)) == []
    [found] = material_to_chase(session, OVERDUE)
    assert (found.vendor, found.pieces, found.days_over, found.order_id) == ("Copperfield Metals", 36, 8, order.id)
    assert (found.expected_on, [each.id for each in found.lots]) == (date(2026, 1, 12), [lot.id])
    make_receipt(session, order, 36)
    assert material_to_chase(session, OVERDUE) == []


def test_the_review_reads_blanks_in_a_fixed_number_of_statements(session, engine):
    def statements():
        session.rollback()
        with counted(engine) as sent:
            assert all(each.what for each in material_to_order(session, OVERDUE))
            to_order = len(sent)
            assert all(each.what and each.vendor for each in material_to_chase(session, OVERDUE))
        return to_order, len(sent) - to_order

    def some(count):
        for _ in range(count):
            blank = make_blank()
            lots = [make_waiting_lot(session, blank) for _ in range(2)]
            make_blank_order(session, blank, (lots[0], 20))
            make_receipt(session, None, 3, revision=blank)

    some(1)
    few = statements()
    some(4)
    assert statements() == few
    assert few == (7, 4)


def test_the_page_says_what_to_do_first(as_owner):
    page = as_owner.get("/purchasing").text
    assert "No lot waits for blanks." in page
    assert "Nothing is on order." in page


def test_the_page_leads_to_ordering_issuing_receiving_and_moving(as_owner, session, blank, clock):
    lots = [make_waiting_lot(session, blank) for _ in range(2)]
    order = make_blank_order(session, blank, (lots[0], 30))
    receipt = make_receipt(session, order, 10)
    line = order.lines[0]
    move_expected(session, line.id, date(2026, 1, 14), "truck broke down", by_id=None, now=MORNING)
    clock.now = datetime(2026, 1, 16, 15, tzinfo=UTC)
    page = as_owner.get("/purchasing").text
    assert f"/purchasing/orders/new?revision={blank.id}" in page
    assert f"/purchasing/receipts/{receipt.id}/issues" in page
    assert f"/material-orders/lines/{line.id}/receipts/new" in page
    assert f"/purchasing/lines/{line.id}/edit" in page
    assert "Chase: 2 days over" in page
    assert "first Mon 12 Jan" in page
    assert "26 of 36" in page


def test_customer_supplied_blanks_are_asked_for_and_received_without_a_purchase(as_owner, session, blank):
    blank.blank_source = BlankSource.CUSTOMER
    session.commit()
    make_waiting_lot(session, blank)
    page = as_owner.get("/purchasing").text
    assert "To come from customers" in page
    assert f"/receipts/new?part={blank.part.number}&amp;revision=A" in page
    assert f"/purchasing/orders/new?revision={blank.id}" not in page
    receipt = make_receipt(session, None, 30, revision=blank, origin=Origin.CUSTOMER)
    page = as_owner.get("/purchasing").text
    assert "To come from customers" not in page
    assert f"/purchasing/receipts/{receipt.id}/issues" in page


def test_an_operator_sees_blanks_and_no_prices_or_buttons(as_operator, session, blank):
    order = make_blank_order(session, blank, (make_waiting_lot(session, blank), 9), unit_price=Decimal("47.31"))
    make_receipt(session, order, 3)
    make_waiting_lot(session, blank)
    page = as_operator.get("/purchasing")
    assert page.status_code == 200
    for kept_back in ("/purchasing/orders/new", "/issues", "/receipts/new", "/edit", "47.31"):
        assert kept_back not in page.text, kept_back


def test_nobody_sees_blanks_without_signing_in(client):
    assert client.get("/purchasing").status_code == 303


def test_the_page_sends_as_many_statements_for_many_blanks_as_for_one(as_owner, engine, session):
    def statements():
        with counted(engine) as sent:
            assert as_owner.get("/purchasing").status_code == 200
        return len(sent)

    def some(count):
        for _ in range(count):
            blank = make_blank()
            lots = [make_waiting_lot(session, blank) for _ in range(2)]
            make_receipt(session, make_blank_order(session, blank, (lots[0], 20)), 3)

    some(1)
    few = statements()
    some(4)
    assert statements() == few
    assert few <= 20
