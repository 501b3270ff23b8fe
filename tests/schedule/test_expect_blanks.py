"""When blanks can be used: at hand, expected, overdue, not ordered; days are of January 2026 in Chicago."""

from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from app.lots import services as lots
from app.material.models import Receipt
from app.schedule.models import Outlook
from app.schedule.queries import chain_words, why
from app.schedule.services import pin_lot
from app.stations.models import Closure
from tests.factories.lots import act, make_lot
from tests.factories.material import MaterialOrderFactory, MaterialOrderLineFactory, ReceiptFactory
from tests.factories.schedule import forecast_of, plan_now, routing_of, runs_of, single

CHICAGO = ZoneInfo("America/Chicago")


def blanks_in(session, lot):
    """Return day, hour and pieces of each arrival that the lot is planned with."""
    found = [run for run in runs_of(session, lot) if run.station_id is None]
    local = sorted((run.end_at.astimezone(CHICAGO), run.pieces) for run in found)
    return [(when.day, when.hour, pieces) for when, pieces in local]


@pytest.fixture
def routing(session):
    return routing_of(single(1), blanks=10)


@pytest.fixture
def lot(session, routing):
    return make_lot(session, pieces=50, routing=routing)


def order(routing, pieces=50, expected=date(2026, 1, 14), **more):
    return MaterialOrderLineFactory(revision=routing.revision, units=pieces, expected_on=expected, **more)


def test_blanks_at_hand_that_nobody_issued_yet_can_begin_now(session, lot, routing, now):
    ReceiptFactory(revision=routing.revision, pieces=60)
    plan_now(session, now)
    assert blanks_in(session, lot) == [(7, 9, 50)]
    assert not forecast_of(session, lot).is_guess
    assert forecast_of(session, lot).finish_at == now + timedelta(minutes=50)


def test_issued_blanks_begin_while_the_others_are_waited_for(session, lot, routing, now):
    receipt: Any = ReceiptFactory(revision=routing.revision, pieces=20)
    lots.issue_blanks(session, act(), lot.id, receipt.id, 20)
    order(routing, pieces=30)
    plan_now(session, now)
    assert blanks_in(session, lot) == [(14, 12, 30)]
    assert next(run.pieces for run in runs_of(session, lot) if run.station_id) == 20


def test_expected_blanks_count_from_the_noon_of_their_day(session, lot, routing, now):
    order(routing)
    plan_now(session, now)
    assert blanks_in(session, lot) == [(14, 12, 50)]
    found = forecast_of(session, lot)
    assert not found.is_guess
    assert chain_words(found.waits, found.finish_at)[0].sentence == "Waiting for blanks, expected Wed 14 Jan"


def test_blanks_expected_on_a_closed_day_count_from_the_next_opening(session, lot, routing, now):
    session.add(Closure(day=date(2026, 1, 14), name="Stocktaking"))
    session.commit()
    order(routing)
    plan_now(session, now)
    assert blanks_in(session, lot) == [(15, 6, 50)]


def test_several_deliveries_let_their_pieces_begin_one_after_the_other(session, lot, routing, now):
    order(routing, pieces=20, expected=date(2026, 1, 9))
    order(routing, pieces=100, expected=date(2026, 1, 12))
    plan_now(session, now)
    assert blanks_in(session, lot) == [(9, 12, 20), (12, 12, 30)]


def test_what_has_come_in_of_a_line_is_not_expected_again(session, lot, routing, now):
    line = order(routing)
    session.add(
        Receipt(
            number=900,
            line_id=line.id,
            revision_id=routing.revision_id,
            pieces=30,
            issued=0,
            received_on=date(2026, 1, 6),
            recorded_at=now,
        )
    )
    session.commit()
    plan_now(session, now)
    assert blanks_in(session, lot) == [(7, 9, 30), (14, 12, 20)]


def test_the_afternoon_of_the_day_guesses_the_next_working_day(session, lot, routing):
    order(routing, expected=date(2026, 1, 9))
    friday_afternoon = datetime(2026, 1, 9, 20, 0, tzinfo=UTC)
    plan_now(session, friday_afternoon)
    assert blanks_in(session, lot) == [(12, 12, 50)]
    assert forecast_of(session, lot).is_guess


def test_overdue_blanks_come_on_the_next_working_day_plus_five_days_for_an_unknown_vendor(session, lot, routing, now):
    order(routing, expected=date(2026, 1, 5))
    plan_now(session, now)
    assert blanks_in(session, lot) == [(13, 12, 50)]  # Thursday 8th and five days
    found = forecast_of(session, lot)
    assert found.is_guess
    assert why(found)[0].startswith("Waiting for blanks that were expected Mon 5 Jan; when they come is a guess")


def test_overdue_blanks_take_the_usual_delay_of_a_vendor_who_is_known_to_be_late(session, lot, routing, now):
    late = MaterialOrderFactory()
    for number, days in enumerate((1, 1, 2), start=700):
        expected = date(2025, 12, 1)
        line = order(routing, expected=expected, order=late, closed_at=now)
        ReceiptFactory(
            number=number,
            revision=routing.revision,
            line=line,
            pieces=50,
            issued=50,
            expected_on=expected,
            received_on=expected + timedelta(days=days),
        )
    order(routing, expected=date(2026, 1, 5), order=late)
    plan_now(session, now)
    assert blanks_in(session, lot) == [(9, 12, 50)]  # Thursday 8th and one day


def test_a_guess_that_falls_on_a_weekend_is_for_monday(session, lot, routing, now):
    # Friday 9th and five days is a Wednesday; from Monday 12th on: Tuesday 13th and five days is Sunday 18th.
    order(routing, expected=date(2026, 1, 5))
    plan_now(session, datetime(2026, 1, 12, 15, 0, tzinfo=UTC))
    assert blanks_in(session, lot) == [(19, 12, 50)]


def test_blanks_that_nobody_ordered_take_their_lead_time_from_today(session, lot, now):
    plan_now(session, now)
    assert blanks_in(session, lot) == [(19, 12, 50)]  # ten days end on Saturday the 17th
    found = forecast_of(session, lot)
    assert found.is_guess
    assert why(found)[0].startswith("Waiting for blanks, which are not ordered yet")


def test_the_lead_time_of_the_blank_itself_goes_before_the_operation_s(session, now):
    lot = make_lot(session, pieces=50, routing=routing_of(single(1), blanks=10, blank_lead_days=2))
    plan_now(session, now)
    assert blanks_in(session, lot) == [(9, 12, 50)]


def test_blanks_of_which_nothing_is_known_give_no_finish(session, routing, now):
    routing.operations[0].lead_days = 0
    session.commit()
    lot = make_lot(session, pieces=50, routing=routing)
    order(routing, pieces=20)
    plan_now(session, now)
    found = forecast_of(session, lot)
    assert (found.outlook, found.finish_at) == (Outlook.NO_BLANKS, None)
    assert why(found) == ["Operation 5: 30 blanks are not on order."]
    assert blanks_in(session, lot) == [(14, 12, 20)]


def test_who_is_first_in_rank_gets_the_blanks_that_come_first(session, routing, lot, now):
    second = make_lot(session, pieces=50, routing=routing)
    ReceiptFactory(revision=routing.revision, pieces=30)
    order(routing, pieces=70)
    plan_now(session, now)
    assert blanks_in(session, lot) == [(7, 9, 30), (14, 12, 20)]
    assert blanks_in(session, second) == [(14, 12, 50)]
    pin_lot(session, second.id, None, now)
    plan_now(session, now)
    assert blanks_in(session, second) == [(7, 9, 30), (14, 12, 20)]
    assert blanks_in(session, lot) == [(14, 12, 50)]


def test_blanks_of_another_revision_do_not_count(session, lot, now):
    ReceiptFactory(pieces=60)
    MaterialOrderLineFactory(units=60)
    plan_now(session, now)
    assert blanks_in(session, lot) == [(19, 12, 50)]
