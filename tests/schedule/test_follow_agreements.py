"""What the customer agrees to anew moves the forecast's due dates and its order."""

from datetime import date

from app.orders.services import LineTerms, Talk, Terms, cancel_delivery, change_delivery, change_line, reopen_delivery
from app.parts.models import Revision
from app.schedule.models import Outlook
from tests.factories.lots import MORNING, make_lot, make_ordered_lot
from tests.factories.parts import RevisionFactory
from tests.factories.schedule import forecast_of, plan_now, routing_of, runs_of, single
from tests.factories.stations import StationFactory

TODAY = date(2026, 1, 7)


def test_a_later_date_makes_a_late_lot_one_with_slack(session, now):
    lot = make_ordered_lot(session, pieces=400, due=TODAY)
    plan_now(session, now)
    assert forecast_of(session, lot).late
    change_delivery(session, lot.deliveries[0].delivery_id, Terms(400, date(2026, 2, 6)), Talk("later", MORNING))
    plan_now(session, now)
    assert not forecast_of(session, lot).late


def test_a_cancelled_delivery_s_lot_has_no_due_date_until_it_is_opened_again(session, now):
    lot = make_ordered_lot(session, pieces=400, due=TODAY)
    delivery_id = lot.deliveries[0].delivery_id
    cancel_delivery(session, delivery_id, Talk("cancel", MORNING, note="no demand"))
    plan_now(session, now)
    found = forecast_of(session, lot)
    assert (found.due_at, found.late, found.outlook) == (None, False, Outlook.EXPECTED)
    reopen_delivery(session, delivery_id, Talk("open", MORNING))
    plan_now(session, now)
    assert forecast_of(session, lot).late


def test_a_lot_of_the_old_revision_is_not_due_for_a_delivery_that_moved_on(session, now):
    lot = make_ordered_lot(session, pieces=400, due=TODAY)
    newer: Revision = RevisionFactory(part=lot.revision.part, label="B", current=False)
    terms = Terms(400, TODAY, newer.id)
    change_delivery(session, lot.deliveries[0].delivery_id, terms, Talk("newer", MORNING))
    plan_now(session, now)
    assert forecast_of(session, lot).due_at is None


def test_a_rush_goes_before_what_was_there_first(session, now):
    center = StationFactory().work_center
    make_lot(session, pieces=10, routing=routing_of(single(6, work_center=center)), due_on=date(2026, 2, 5))
    lot = make_ordered_lot(session, pieces=10, due=date(2026, 2, 20))
    lot.operations[0].work_center_id = center.id
    session.commit()
    plan_now(session, now)
    before = runs_of(session, lot)[0].start_at
    line = lot.deliveries[0].delivery.line
    change_line(session, line.id, LineTerms(line.price, rush=True), None, MORNING)
    plan_now(session, now)
    assert runs_of(session, lot)[0].start_at == now < before
