from dataclasses import replace

import pytest

from app.core.calendar_hours import OpenHours
from app.core.calendars import WorkCalendar
from app.core.plan_check import check
from app.core.planning.forecasts import forecast
from app.core.planning.obstacles import Figure, Obstacle, ObstacleKind, Status
from app.core.shop import (
    Arrival,
    BarFed,
    Batch,
    LeadTime,
    NotBefore,
    OpenJob,
    OverClosed,
    PalletLoad,
    Purchase,
    SinglePiece,
)
from app.core.worktime import Span
from tests.core.plan_check.plans import forecast_plan
from tests.core.planning.beside_good import GOOD, MILL, forecast_beside_a_good_lot
from tests.core.shops import at, calendar, lot, minutes, operation, shop, single, station

NOT_ABOVE = ObstacleKind.FIGURE_NOT_ABOVE_ZERO
BELOW = ObstacleKind.FIGURE_BELOW_ZERO


@pytest.mark.parametrize(
    ("taking", "more", "obstacle"),
    [
        (SinglePiece(0), {}, Obstacle(NOT_ABOVE, figure=Figure.CYCLE_TIME, number=0)),
        (PalletLoad(0, 1), {}, Obstacle(NOT_ABOVE, figure=Figure.LOAD_PIECES, number=0)),
        (PalletLoad(1, -5), {}, Obstacle(NOT_ABOVE, figure=Figure.CYCLE_TIME, number=-5)),
        (PalletLoad(1, 1, load_ms=-1), {}, Obstacle(BELOW, figure=Figure.LOAD_TIME, number=-1)),
        (PalletLoad(1, 1, unload_ms=-1), {}, Obstacle(BELOW, figure=Figure.UNLOAD_TIME, number=-1)),
        (BarFed(0, 1), {}, Obstacle(NOT_ABOVE, figure=Figure.BAR_PIECES, number=0)),
        (BarFed(1, 0), {}, Obstacle(NOT_ABOVE, figure=Figure.CYCLE_TIME, number=0)),
        (BarFed(1, 1, -1), {}, Obstacle(BELOW, figure=Figure.BAR_CHANGE_TIME, number=-1)),
        (LeadTime(-1), {}, Obstacle(BELOW, figure=Figure.LEAD_TIME, number=-1)),
        (Purchase((Arrival(0, -1),)), {}, Obstacle(BELOW, figure=Figure.EXPECTED_PIECES, number=-1)),
        (Batch("r", 0), {}, Obstacle(NOT_ABOVE, figure=Figure.BATCH_TIME, number=0)),
        (Batch("r", 1, max_pieces=0), {}, Obstacle(NOT_ABOVE, figure=Figure.BATCH_PIECES, number=0)),
        (Batch("r", 1, None, 5_000), {}, Obstacle(ObstacleKind.WEIGHT_NOT_KNOWN)),
        (Batch("r", 1, None, 5_000, 5_001), {}, Obstacle(ObstacleKind.PIECE_TOO_HEAVY, number=5_001, most=5_000)),
        (single(1), {"setup": -1}, Obstacle(BELOW, figure=Figure.SETUP_TIME, number=-60)),
        (single(1), {"fixture_setup_s": -1}, Obstacle(BELOW, figure=Figure.FIXTURE_SETUP_TIME, number=-1)),
        (single(1), {"send_ahead": 0}, Obstacle(NOT_ABOVE, figure=Figure.SEND_AHEAD_PIECES, number=0)),
        (single(1), {"open_jobs": (OpenJob("gone", 1, 0),)}, Obstacle(ObstacleKind.JOB_ELSEWHERE, what="gone")),
    ],
)
def test_figures_that_make_no_sense_are_told_with_the_figure(taking, more, obstacle):
    bad = lot("bad", operation("5", single(1), waiting=2), operation("20", taking, **more))
    planned = forecast_beside_a_good_lot(bad)
    assert (planned.status, planned.finish) == (Status.BAD_INPUT, None)
    assert planned.obstacle == replace(obstacle, operation="20")
    assert len(planned.operations[0].runs) == 1  # what comes before is still done


@pytest.mark.parametrize(
    ("steps", "kind"),
    [
        ([operation("10", single(1)), operation("10", single(1))], ObstacleKind.SAME_KEY_TWICE),
        ([operation("10", single(1), waiting=-1)], ObstacleKind.NEGATIVE_COUNT),
        ([operation("10", single(1), held=-1)], ObstacleKind.NEGATIVE_COUNT),
        ([operation("10", single(1), counted=-1)], ObstacleKind.NEGATIVE_COUNT),
        ([operation("10", single(1), open_jobs=(OpenJob("mill", 1, at(0), counted=-1),))], ObstacleKind.NEGATIVE_COUNT),
        (
            [operation("10", single(1), open_jobs=(OpenJob("mill", 0, 0),))],
            ObstacleKind.JOB_WITHOUT_PIECES,
        ),
    ],
)
def test_a_lot_whose_counts_make_no_sense_is_not_planned_at_all(steps, kind):
    planned = forecast_beside_a_good_lot(lot("bad", *steps))
    assert (planned.status, planned.obstacle) == (Status.BAD_INPUT, Obstacle(kind, "10"))
    assert [one.key for one in planned.operations] == [step.key for step in steps]
    assert not any(one.runs for one in planned.operations)


def test_figures_of_an_operation_that_all_pieces_have_passed_do_not_matter():
    planned = forecast_beside_a_good_lot(
        lot("L", operation("5", SinglePiece(0)), operation("10", single(1), waiting=2))
    )
    assert planned.status is Status.PLANNED


def test_an_operation_that_no_station_can_do_is_told_with_where_it_should_be_done():
    planned = forecast_beside_a_good_lot(lot("L", operation("10", single(1), "grinder", waiting=2)))
    assert planned.status is Status.NO_STATION
    assert planned.obstacle == Obstacle(ObstacleKind.EMPTY_WORK_CENTER, "10", "grinder")
    planned = forecast_beside_a_good_lot(lot("L", operation("10", single(1), stations=("a", "b"), waiting=2)))
    assert planned.obstacle == Obstacle(ObstacleKind.NO_SUCH_STATION, "10", "a, b")


def test_a_station_that_never_opens_is_told():
    closed = station("closed", "lathe", calendar=WorkCalendar(OpenHours("UTC")))
    planned = forecast_beside_a_good_lot(lot("L", operation("10", single(1), "lathe", waiting=2)), MILL, closed)
    assert planned.status is Status.NO_OPEN_HOURS
    assert planned.obstacle == Obstacle(ObstacleKind.NO_OPENING, "10")


@pytest.mark.parametrize(("days_off", "status"), [(398, Status.PLANNED), (402, Status.NO_OPEN_HOURS)])
def test_a_station_that_closes_for_400_days_closes_for_good(days_off, status):
    later = 60 + days_off * 24 * 60
    opens = calendar(overtime=(Span(at(0), at(60)), Span(at(later), at(later + 600))))
    lathe = station("seldom", "lathe", calendar=opens)
    planned = forecast_beside_a_good_lot(lot("L", operation("10", single(90), "lathe", waiting=1)), MILL, lathe)
    assert planned.status is status


def test_more_work_than_ten_years_hold_is_told():
    planned = forecast_beside_a_good_lot(lot("L", operation("10", single(10**9), waiting=2), rush=True))
    assert planned.obstacle == Obstacle(ObstacleKind.TOO_FEW_HOURS, "10")


def test_lots_that_go_into_each_other_are_told_and_what_can_be_done_of_them_is():
    ring = lot("A", operation("5", single(1), waiting=2), operation("10", single(1), components=("B",)))
    case = shop([MILL], ring, lot("B", operation("10", single(1), waiting=1, components=("A",))), GOOD)
    planned = forecast(case).lots
    assert [one.status for one in planned.values()] == [Status.NO_COMPONENTS, Status.NO_COMPONENTS, Status.PLANNED]
    assert planned["A"].obstacle == Obstacle(ObstacleKind.LOTS_IN_A_LOOP, "10", "A, B", number=2)
    assert [len(one.runs) for one in planned["A"].operations] == [1, 0]
    assert check(case, forecast_plan(case)) == ()


def test_a_lot_that_is_past_due_is_planned_and_counts_as_late():
    case = shop([MILL], lot("L", operation("10", single(5), waiting=1), due=at(-60), weight=2), GOOD)
    plan = forecast_plan(case)
    assert (plan.status, plan.late, plan.weighted_tardiness) == ("planned", 1, 2 * 65 * 60)
    assert check(case, plan) == ()


def test_ten_years_of_work_ahead_is_told():
    decade = [lot(f"L{number}", operation("10", single(4_000_000), waiting=1), rush=True) for number in range(2)]
    planned = forecast(shop([MILL], *decade)).lots
    assert planned["L0"].status is Status.PLANNED
    assert planned["L1"].obstacle == Obstacle(ObstacleKind.TOO_FEW_HOURS, "10")


def test_a_component_that_comes_in_the_next_century_is_told():
    far = NotBefore(at(60 * 24 * 365 * 200), "bracket")
    planned = forecast_beside_a_good_lot(lot("L", operation("10", single(1), waiting=1, not_before=far)))
    assert planned.obstacle == Obstacle(ObstacleKind.TOO_FAR_AHEAD, "10")


@pytest.mark.parametrize(
    ("step", "obstacle"),
    [
        (
            operation("5", Purchase((Arrival(at(0), 1), Arrival(at(60 * 24 * 365 * 12), 2))), "", waiting=4),
            Obstacle(ObstacleKind.BLANKS_NOT_ORDERED, "5", number=1),
        ),
        (
            operation("5", Purchase((Arrival(at(0), 1), Arrival(at(60 * 24 * 365 * 12), 3))), "", waiting=4),
            Obstacle(ObstacleKind.BLANKS_TOO_LATE, "5", number=3),
        ),
        (operation("5", LeadTime(9_999), "", waiting=4), Obstacle(ObstacleKind.TOO_FAR_AHEAD, "5")),
    ],
)
def test_what_is_expected_in_more_than_ten_years_is_told_and_what_comes_before_is_done(step, obstacle):
    planned = forecast_beside_a_good_lot(lot("L", step, operation("10", single(1))))
    assert planned.obstacle == obstacle
    assert [run.pieces for run in planned.operations[1].runs] == ([1] if isinstance(step.taking, Purchase) else [])


def test_a_lot_released_in_the_next_century_is_told():
    planned = forecast_beside_a_good_lot(lot("L", operation("10", single(1), waiting=1), released=at(60 * 24 * 40_000)))
    assert planned.obstacle == Obstacle(ObstacleKind.TOO_FAR_AHEAD, "10")


def test_what_follows_an_operation_that_was_given_up_is_not_planned():
    closed = station("closed", "lathe", calendar=calendar())
    steps = (
        operation("10", single(1), waiting=4, send_ahead=1),
        operation("20", single(1), "lathe"),
        operation("30", single(1)),
    )
    planned = forecast_beside_a_good_lot(lot("L", *steps), MILL, closed)
    assert planned.status is Status.NO_OPEN_HOURS
    assert [len(one.runs) for one in planned.operations] == [1, 0, 0]


@pytest.mark.parametrize("hold", ["customer asked", ""])
def test_a_lot_on_hold_is_not_planned_and_leaves_its_station_to_others(hold):
    busy = operation("10", single(50), open_jobs=(OpenJob("mill", 3, at(0)),))
    planned = forecast_beside_a_good_lot(lot("L", busy, hold=hold))
    assert (planned.status, planned.partial_finish) == (Status.HELD, None)
    assert planned.obstacle == Obstacle(ObstacleKind.LOT_HELD, what=hold)
    assert minutes(forecast(shop([MILL], lot("L", busy, hold=hold), GOOD)).lots["good"].finish) == 7


def test_of_several_troubles_the_gravest_is_told_and_of_equals_the_first():
    held = operation("10", single(1), waiting=2, held=1)
    assert forecast_beside_a_good_lot(lot("L", held, operation("20", SinglePiece(0)))).status is Status.BAD_INPUT
    steps = operation("5", SinglePiece(0), waiting=1), held, operation("20", single(1), held=3)
    assert forecast_beside_a_good_lot(lot("L", *steps)).obstacle.operation == "5"
    assert forecast_beside_a_good_lot(lot("L", *steps[1:])).obstacle.operation == "10"


def test_pieces_outside_whose_lead_time_makes_no_sense_are_not_planned():
    away = operation("10", LeadTime(-1), "", open_jobs=(OpenJob("", 2, at(0)),))
    planned = forecast_beside_a_good_lot(lot("L", away))
    assert (planned.status, planned.partial_finish) == (Status.BAD_INPUT, None)


def test_pieces_that_follow_others_that_were_given_up_are_not_planned_either():
    one_hour_left = WorkCalendar(OpenHours("UTC", overtime=(Span(at(0), at(60)),)))
    steps = operation("10", single(10), waiting=1), operation("20", single(20), "lathe", waiting=4)
    planned = forecast_beside_a_good_lot(lot("L", *steps), MILL, station("lathe", "lathe", calendar=one_hour_left))
    assert planned.status is Status.NO_OPEN_HOURS
    assert planned.operations[1].runs == ()


def test_a_lot_with_nothing_left_to_do_is_finished_now():
    planned = forecast_beside_a_good_lot(lot("L", operation("10", single(1))))
    assert (planned.status, planned.finish, planned.chain) == (Status.PLANNED, at(0), ())


def test_a_lot_whose_pieces_are_all_counted_at_its_last_operation_is_finished_now():
    assert forecast_beside_a_good_lot(lot("L", operation("10", single(1), counted=5))).finish == at(0)


def test_an_empty_shop_has_an_empty_forecast():
    planned = forecast(shop([]))
    assert (planned.lots, planned.stations) == ({}, {})


@pytest.mark.parametrize(
    ("build", "complaint"),
    [
        (lambda: shop([MILL, MILL]), "Two stations have the key 'mill'"),
        (lambda: shop([MILL], GOOD, GOOD), "Two lots have the key 'good'"),
    ],
)
def test_two_of_a_kind_with_one_key_are_refused(build, complaint):
    with pytest.raises(ValueError, match=complaint):
        build()


@pytest.mark.parametrize("later", [single(0), single(60)])
def test_behind_a_component_lot_on_hold_nothing_counts_on_the_pieces_that_wait_for_it(later):
    """Neither is a figure looked at that no piece comes to, nor must what waits there fit together with them."""
    days = replace(station("bench", "bench"), calendar=calendar(("07:00", "15:00")), over_closed=OverClosed.FIT)
    here = 0 if later == single(0) else 5
    steps = operation("10", single(1), waiting=5, components=("C",)), operation("20", later, "bench", waiting=here)
    held = lot("C", operation("10", single(1), waiting=1), hold="asked")
    case = shop([MILL, days], held, lot("L", *steps))
    planned = forecast(case).lots["L"]
    assert planned.obstacle == Obstacle(ObstacleKind.LOT_NOT_FINISHED, "10", "C")
    assert [run.pieces for run in planned.operations[1].runs] == [5] * bool(here)
    assert check(case, forecast_plan(case)) == ()
