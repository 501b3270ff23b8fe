from dataclasses import replace
from datetime import date

import pytest

from app.core.plan_check import check
from app.core.planning.forecasts import forecast
from app.core.planning.obstacles import Obstacle, ObstacleKind, Status
from app.core.planning.results import Cause
from app.core.shop import Arrival, LeadTime, NotBefore, OpenJob, Purchase
from tests.core.plan_check.plans import forecast_plan
from tests.core.shops import DAY, at, calendar, lot, minutes, operation, shop, single, station, times, told

MILL = station("mill")
DAY_SHIFTS = calendar(("06:00", "14:00"))


def bought(*arrivals, pieces=10):
    return operation("5", Purchase(arrivals), "", waiting=pieces), operation("10", single(1))


def test_each_delivery_lets_its_pieces_begin():
    steps = bought(Arrival(at(30), 4), Arrival(at(100), 6))
    planned = forecast(shop([MILL], lot("L", *steps))).lots["L"]
    assert times(planned, "5") == [(0, 30), (0, 100)]
    assert times(planned, "10") == [(30, 34), (100, 106)]
    assert told(planned.chain) == [("waiting for blanks", "5", 100), ("running", "10", 6)]


def test_deliveries_are_taken_in_order_of_time_and_no_more_than_are_needed():
    steps = bought(Arrival(at(100), 6), Arrival(at(30), 8))
    planned = forecast(shop([MILL], lot("L", *steps))).lots["L"]
    assert [(run.pieces, minutes(run.end)) for run in planned.operations[0].runs] == [(8, 30), (2, 100)]


def test_a_guess_is_marked_in_the_run_and_in_the_reason():
    planned = forecast(shop([MILL], lot("L", *bought(Arrival(at(30), 10, guess=True))))).lots["L"]
    assert planned.operations[0].runs[0].guess
    assert [(reason.cause, reason.guess) for reason in planned.chain] == [(Cause.BLANKS, True), (Cause.RUNNING, False)]


def test_a_delivery_whose_time_has_passed_comes_now():
    planned = forecast(shop([MILL], lot("L", *bought(Arrival(at(-500), 10))))).lots["L"]
    assert times(planned, "10") == [(0, 10)]


def test_pieces_that_nobody_has_ordered_wait_for_an_order():
    planned = forecast(shop([MILL], lot("L", *bought(Arrival(at(30), 4))))).lots["L"]
    assert (planned.status, planned.finish) == (Status.NO_BLANKS, None)
    assert planned.obstacle == Obstacle(ObstacleKind.BLANKS_NOT_ORDERED, "5", number=6)
    assert minutes(planned.partial_finish) == 34


def test_without_any_order_nothing_is_planned():
    planned = forecast(shop([MILL], lot("L", *bought()))).lots["L"]
    assert (planned.status, planned.partial_finish) == (Status.NO_BLANKS, None)


def test_blanks_are_bought_only_for_pieces_that_reach_the_operation():
    steps = operation("1", single(20), waiting=3), operation("5", Purchase((Arrival(at(30), 10),)), "")
    planned = forecast(shop([MILL], lot("L", *steps))).lots["L"]
    assert times(planned, "5") == [(60, 60)]
    assert [run.pieces for run in planned.operations[1].runs] == [3]


def test_a_delivery_serves_first_those_that_waited_first():
    bought_later = operation("5", Purchase((Arrival(at(30), 4), Arrival(at(100), 4))), "", waiting=3)
    planned = forecast(shop([MILL], lot("L", operation("1", single(20), waiting=3), bought_later))).lots["L"]
    assert [(run.pieces, minutes(run.end)) for run in planned.operations[1].runs] == [(3, 30), (1, 60), (2, 100)]


def test_pieces_whose_purchase_is_begun_wait_for_their_blanks_like_the_others():
    ordered = operation("5", Purchase((Arrival(at(30), 10),)), "", waiting=4, open_jobs=(OpenJob("", 6, at(-99)),))
    assert minutes(forecast(shop([MILL], lot("L", ordered))).lots["L"].finish) == 30
    assert forecast(shop([MILL], lot("L", ordered))).lots["L"].operations[0].runs[0].pieces == 10


@pytest.mark.parametrize(
    ("days", "working_days", "back"),
    [
        (3, False, at(10) + 3 * DAY + 350 * 60),  # Thursday 00:10: at the opening at 6:00
        (5, False, at(0) + 7 * DAY + 360 * 60),  # Saturday: Monday
        (5, True, at(0) + 8 * DAY + 360 * 60),  # Tuesday to Friday, and Tuesday after the closed Monday
    ],
)
def test_outside_work_is_back_when_the_shop_receives(days, working_days, back):
    receiving = calendar(("06:00", "14:00"), closed_days=frozenset({date(2026, 1, 12)} if working_days else ()))
    steps = operation("10", single(1), waiting=10), operation("20", LeadTime(days, working_days), "")
    planned = forecast(shop([MILL], lot("L", *steps), receiving=receiving)).lots["L"]
    assert planned.finish == back
    assert told(planned.chain)[-1] == ("outside", "20", (back - at(10)) / 60)


def test_pieces_that_are_outside_come_back_counted_from_when_they_left():
    sent = OpenJob("", 10, started_at=at(0) - DAY)
    planned = forecast(shop([MILL], lot("L", operation("20", LeadTime(3), "", open_jobs=(sent,)))))
    assert planned.lots["L"].finish == at(0) + 2 * DAY
    assert not planned.lots["L"].operations[0].runs[0].guess


def test_pieces_that_should_be_back_are_guessed_to_come_when_the_shop_next_opens():
    sent = OpenJob("", 10, started_at=at(0) - 9 * DAY)
    steps = operation("20", LeadTime(3), "", open_jobs=(sent,)), operation("30", single(1))
    planned = forecast(shop([MILL], lot("L", *steps), receiving=DAY_SHIFTS)).lots["L"]
    assert times(planned, "20") == [(0, 360)]
    assert planned.chain[0].guess


def test_pieces_said_to_have_left_before_the_calendar_began_are_overdue():
    sent = OpenJob("", 10, started_at=-(10**14))
    assert forecast(shop([MILL], lot("L", operation("20", LeadTime(3), "", open_jobs=(sent,))))).lots["L"].finish == at(
        0
    )


def test_pieces_that_went_ahead_to_a_vendor_come_back_ahead():
    sent = OpenJob("", 4, started_at=at(0))
    away = operation("20", LeadTime(1), "", open_jobs=(sent,), send_ahead=1)
    steps = operation("10", single(10), waiting=6), away, operation("30", single(1))
    planned = forecast(shop([MILL], lot("L", *steps))).lots["L"]
    assert times(planned, "30") == [(24 * 60, 24 * 60 + 4), (25 * 60, 25 * 60 + 6)]


def test_a_shop_that_never_receives_says_so():
    steps = operation("10", single(1), waiting=10), operation("20", LeadTime(3), "")
    planned = forecast(shop([MILL], lot("L", *steps), receiving=calendar())).lots["L"]
    assert planned.status is Status.NO_OPEN_HOURS
    assert planned.obstacle == Obstacle(ObstacleKind.NO_RECEIVING, "20")


def test_what_is_outside_comes_back_though_more_waits_there_for_what_nobody_expects():
    away = operation("10", LeadTime(2), "", waiting=1, send_ahead=1, not_before=NotBefore(None, "paint"))
    away = replace(away, open_jobs=(OpenJob("V", 5, at(0) - DAY),))
    case = shop([MILL], lot("L", away, operation("20", single(1))))
    planned = forecast(case).lots["L"]
    assert times(planned, "20") == [(1440, 1445)]
    assert planned.obstacle == Obstacle(ObstacleKind.COMPONENT_MISSING, "10", "paint")
    assert check(case, forecast_plan(case)) == ()
