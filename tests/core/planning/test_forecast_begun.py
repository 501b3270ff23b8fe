"""What is under way goes on, and what is counted goes ahead, though the rest cannot be begun."""

from dataclasses import replace

import pytest

from app.core.plan_check import check
from app.core.planning.forecasts import forecast
from app.core.planning.obstacles import Obstacle, ObstacleKind, Status
from app.core.shop import (
    Crew,
    LeadTime,
    NotBefore,
    OpenJob,
    OverClosed,
)
from app.core.worktime import Span
from tests.core.plan_check.plans import forecast_plan
from tests.core.planning.beside_good import LATHE, MILL, forecast_beside_a_good_lot
from tests.core.shops import at, calendar, lot, minutes, operation, shop, single, station


def test_a_component_of_which_nobody_knows_when_it_comes_keeps_what_is_not_begun_waiting():
    bolts = NotBefore(None, "B-6")
    begun = OpenJob("mill", 1, at(-1), worked_s=30)
    fitted = operation("10", single(1), waiting=3, counted=2, open_jobs=(begun,), not_before=bolts)
    planned = forecast_beside_a_good_lot(lot("L", fitted, operation("20", single(1), "lathe")), MILL, LATHE)
    assert (planned.status, planned.finish) == (Status.NO_COMPONENTS, None)
    assert planned.obstacle == Obstacle(ObstacleKind.COMPONENT_MISSING, "10", "B-6")
    assert [[run.pieces for run in one.runs] for one in planned.operations] == [[1], []]


def test_pieces_that_have_their_components_are_sent_ahead_of_those_that_have_not():
    begun = OpenJob("mill", 1, at(-1), worked_s=30)
    fitted = operation(
        "10", single(1), waiting=3, open_jobs=(begun,), send_ahead=1, not_before=NotBefore(None, "bolts")
    )
    planned = forecast_beside_a_good_lot(lot("L", fitted, operation("20", single(1), "lathe")), MILL, LATHE)
    assert planned.status is Status.NO_COMPONENTS
    assert [[run.pieces for run in one.runs] for one in planned.operations] == [[1], [1]]
    assert planned.partial_finish is not None


def test_pieces_counted_before_work_that_never_fits_are_sent_ahead_all_the_same():
    days = station("days", "mill", calendar=calendar(("06:00", "14:00")), over_closed=OverClosed.FIT)
    steps = operation("10", single(600), stations=("days",), waiting=1, counted=2, send_ahead=1)
    planned = forecast_beside_a_good_lot(lot("L", steps, operation("20", single(1), "lathe")), MILL, LATHE, days)
    assert planned.obstacle == Obstacle(ObstacleKind.NEVER_FITS, "10")
    assert [[(run.station, run.pieces) for run in one.runs] for one in planned.operations] == [[], [("lathe", 2)]]


def test_pieces_counted_before_figures_that_make_no_sense_are_sent_ahead_all_the_same():
    steps = operation("10", single(0), waiting=1, counted=2, send_ahead=1), operation("20", single(1), "lathe")
    planned = forecast_beside_a_good_lot(lot("L", *steps), MILL, LATHE)
    assert planned.status is Status.BAD_INPUT
    assert [[run.pieces for run in one.runs] for one in planned.operations] == [[], [2]]


@pytest.mark.parametrize("people", [None, (Crew(calendar(("00:00", "00:00"), days=range(7)), 0, 1),)])
def test_what_is_under_way_goes_on_though_the_rest_can_never_be_begun(people):
    """Six times 100 minutes never fit into eight hours, or nobody sets up; the piece in work keeps its station busy."""
    days = station("days", calendar=calendar(("06:00", "14:00")), over_closed=OverClosed.FIT)
    begun = OpenJob("days", 1, at(360), worked_s=0)
    slow = lot("L", operation("10", single(100), setup=60, waiting=5, open_jobs=(begun,), stations=("days",)))
    other = lot("B", operation("10", single(30), waiting=1))
    case = replace(shop([days], slow, other, now=at(360)), people=people)
    planned = forecast(case).lots
    assert planned["L"].status is Status.NO_OPEN_HOURS
    assert [(minutes(run.start), minutes(run.end), run.pieces) for run in planned["L"].operations[0].runs] == [
        (360, 460, 1)
    ]
    assert minutes(planned["B"].finish) == 490
    assert check(case, forecast_plan(case)) == ()


def test_what_waits_beside_what_is_under_way_need_only_fit_alone():
    """Six times 100 minutes would not fit into eight hours; four are under way, and the other two do."""
    days = station("days", calendar=calendar(("06:00", "14:00")), over_closed=OverClosed.FIT)
    begun = OpenJob("days", 4, at(360), worked_s=0)
    case = shop([days], lot("L", operation("10", single(100), waiting=2, open_jobs=(begun,))), now=at(360))
    planned = forecast(case).lots["L"]
    assert [(minutes(run.start), minutes(run.end), run.pieces) for run in planned.operations[0].runs] == [
        (360, 760, 4),
        (24 * 60 + 360, 24 * 60 + 560, 2),
    ]
    assert planned.status is Status.PLANNED
    assert check(case, forecast_plan(case)) == ()
    left_out = replace(forecast_plan(case), operations=forecast_plan(case).operations[:1])
    assert check(case, left_out)


def test_what_is_all_under_way_goes_on_to_the_next_operation_though_nobody_could_begin_it():
    nobody = (Crew(calendar(("00:00", "00:00"), days=range(7)), 0, 1),)
    begun = OpenJob("mill", 1, at(0), worked_s=0)
    steps = operation("10", single(30), setup=60, open_jobs=(begun,)), operation("20", LeadTime(1), "")
    case = replace(shop([MILL], lot("L", *steps)), people=nobody)
    assert minutes(forecast(case).lots["L"].finish) == 30 + 24 * 60
    assert check(case, forecast_plan(case)) == ()


@pytest.mark.parametrize("comes", [None, at(5_000 * 24 * 60)])
def test_when_all_is_begun_no_component_is_missed(comes):
    begun = OpenJob("mill", 2, at(0))
    fitted = operation("10", single(1), counted=3, open_jobs=(begun,), not_before=NotBefore(comes, "bolts"))
    planned = forecast_beside_a_good_lot(lot("L", fitted, operation("20", single(1), "lathe")), MILL, LATHE)
    assert planned.status is Status.PLANNED
    assert [sum(run.pieces for run in one.runs) for one in planned.operations] == [2, 5]


def test_when_all_is_begun_it_is_hours_that_stop_it_and_no_lot_that_is_not_finished():
    seldom = station("seldom", calendar=calendar(overtime=(Span(at(0), at(30)),)))
    begun = OpenJob("seldom", 1, at(0), worked_s=0)
    waits = lot("L", operation("10", single(45), open_jobs=(begun,), components=("C",)))
    short = lot("C", operation("10", single(20), "lathe", waiting=1))
    case = shop([seldom, station("soon", "lathe", calendar=seldom.calendar)], waits, short, replace(short, key="B"))
    planned = forecast(case).lots
    assert planned["C"].obstacle == Obstacle(ObstacleKind.TOO_FEW_HOURS, "10")
    assert planned["L"].obstacle == Obstacle(ObstacleKind.TOO_FEW_HOURS, "10")
    assert check(case, forecast_plan(case)) == ()
