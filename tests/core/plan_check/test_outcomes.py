"""What a plan says of lots and of itself is true."""

from dataclasses import replace

import pytest

from app.core.plan_check import Rule, check
from app.core.planning.result_file import PlannedLot
from app.core.shop import Arrival, Batch, Crew, LeadTime, NotBefore, OpenJob, OverClosed, Purchase
from app.core.worktime import Span
from tests.core.plan_check.plans import broken, forecast_plan, hand_plan, row, verdict
from tests.core.shops import at, calendar, lot, operation, shop, single, station

CASE = shop(
    [station("M")],
    lot("A", operation("10", single(60), waiting=1), due=at(30), weight=4),
    lot("B", operation("10", single(60), waiting=1), due=at(120)),
    lot("C", operation("10", single(60), waiting=1)),
)
ROWS = [row(key, 0, "M", 60 * n, 60 * n + 60) for n, key in enumerate("ABC")]
PLAN = hand_plan(CASE, *ROWS)


def test_a_right_plan_is_accepted_and_has_the_sums_reckoned_by_hand():
    assert check(CASE, PLAN) == ()
    assert (PLAN.makespan, PLAN.weighted_tardiness, PLAN.late) == (3 * 3_600, 4 * 1_800, 1)


@pytest.mark.parametrize("wrong", [{"makespan": 3_600}, {"weighted_tardiness": 1_800}, {"late": 0}, {"status": "done"}])
def test_sums_that_do_not_add_up_are_caught(wrong):
    assert broken(CASE, replace(PLAN, **wrong)) == {Rule.TOTALS}


def test_a_finish_is_that_of_the_last_piece():
    a, b, c = PLAN.lots
    for finish in (at(61), at(59), None):
        assert Rule.FINISH in broken(CASE, replace(PLAN, lots=(replace(a, finish=finish), b, c)))


def test_each_lot_is_told_of_once():
    a, b, c = PLAN.lots
    for lots in ((a, b), (a, b, c, c), (a, b, c, PlannedLot("D", "planned", at(60)))):
        assert Rule.STATUS in broken(CASE, replace(PLAN, lots=lots))


@pytest.mark.parametrize(
    "status", ["held", "no blanks", "no station", "no open hours", "no components", "bad input", "x"]
)
def test_no_lot_is_given_up_without_a_cause(status):
    assert Rule.STATUS in verdict(CASE, *ROWS[:2], C=status)


def test_what_is_not_planned_has_a_reason_and_no_finish():
    case = shop([station("M")], lot("L", operation("10", single(1), "lathe", waiting=1)))
    assert verdict(case, L="no station") == set()
    plan = hand_plan(case, L="no station")
    (told,) = plan.lots
    assert Rule.STATUS in broken(case, replace(plan, lots=(replace(told, reason=""),)))
    assert Rule.STATUS in broken(case, replace(plan, lots=(replace(told, finish=at(5)),)))
    assert Rule.STATUS in verdict(case)


def test_figures_nobody_can_work_with_are_bad_input_and_the_rest_is_planned():
    heavy = Batch("steel", 60_000, max_weight_g=1_000, piece_weight_g=1_001)
    for taking in (single(0), heavy, replace(heavy, max_weight_g=None, max_pieces=0), replace(heavy, piece_weight_g=0)):
        bad = lot("L", operation("10", taking, waiting=1), operation("20", single(1), waiting=2))
        case = shop([station("M")], bad)
        later = row("L", 1, "M", 0, 2, 2)
        assert verdict(case, later, L="bad input") == set()
        assert Rule.COUNT in verdict(case, L="bad input")
        assert Rule.STATUS in verdict(case, later)
        assert Rule.STATUS in verdict(case, row("L", 0, "M", 2, 3), later, L="bad input")


def test_hours_that_never_hold_the_work_are_told_apart_from_those_that_do():
    never, day = calendar(), calendar(("08:00", "09:00"))
    long = lot("L", operation("10", single(90), waiting=1))
    assert verdict(shop([station("M", calendar=never)], long), L="no open hours") == set()
    assert verdict(shop([station("M", calendar=day, over_closed=OverClosed.FIT)], long), L="no open hours") == set()
    assert Rule.STATUS in verdict(shop([station("M", calendar=day)], long), L="no open hours")
    either = [station("M", calendar=never), station("N", calendar=day)]
    assert Rule.STATUS in verdict(shop(either, long), L="no open hours")
    outside = lot("L", operation("10", LeadTime(2), "", waiting=1))
    assert verdict(shop([], outside, receiving=never), L="no open hours") == set()
    assert Rule.STATUS in verdict(shop([], outside, receiving=day), L="no open hours")


def test_a_violation_reads_as_a_sentence_with_its_place():
    (first, *_) = check(CASE, hand_plan(CASE, ROWS[0], row("B", 0, "M", 60, 121), ROWS[2]))
    assert (first.lot, first.operation, first.station) == ("B", 0, "M")
    assert str(first).startswith("lot B operation 0 at M: its work is done at ")


def test_pieces_behind_work_that_fits_no_hours_go_on_alone():
    """Ten hours must fit into eight: that lot's pieces further on go through, and nothing else of it."""
    days = station("M", calendar=calendar(("06:00", "14:00")), over_closed=OverClosed.FIT)
    steps = [operation("20", single(10), "bench", waiting=2), operation("30", single(10), "bench")]
    case = shop([days, station("X", "bench")], lot("L", operation("10", single(600), waiting=1), *steps))
    assert check(case, forecast_plan(case)) == ()
    assert verdict(case, row("L", 1, "X", 0, 20, 2), row("L", 2, "X", 20, 40, 2), L="no open hours") == set()
    assert Rule.PIECES in verdict(case, row("L", 1, "X", 0, 20, 2), row("L", 2, "X", 10, 30, 2), L="no open hours")
    assert verdict(case, L="no open hours") == {Rule.COUNT}


def test_hours_count_from_when_a_component_is_finished():
    """Who would have done it is gone when the component comes."""
    alone = calendar(overtime=(Span(at(0), at(60)),))
    component = lot("C", operation("10", single(90), "lathe", waiting=1))
    waits = lot("L", operation("10", single(5), waiting=1, components=("C",)))
    case = shop([station("M", calendar=alone), station("T", "lathe")], component, waits)
    assert check(case, forecast_plan(case)) == ()
    made = row("C", 0, "T", 0, 90)
    assert verdict(case, made, L="no open hours") == set()
    quick = replace(case, lots=(lot("C", operation("10", single(30), "lathe", waiting=1)), waits))
    assert verdict(quick, row("C", 0, "T", 0, 30), L="no open hours") >= {Rule.COUNT, Rule.STATUS}


def test_work_that_fits_no_hours_is_told_before_its_pieces_have_come_unless_they_are_known_never_to():
    days = station("M", calendar=calendar(("06:00", "14:00")), over_closed=OverClosed.FIT)
    steps = [operation("10", single(1), "bench", waiting=1, components=("H",)), operation("20", single(600))]
    component = lot("H", operation("10", single(1), "bench", waiting=1))
    case = shop([days, station("X", "bench")], lot("L", *steps), component)
    rows = [row("H", 0, "X", 0, 1), row("L", 0, "X", 1, 2)]
    assert check(case, forecast_plan(case)) == ()
    assert verdict(case, *rows, L="no open hours") == set()
    assert verdict(case, *rows, L="no components") == {Rule.STATUS}
    held = replace(case, lots=(case.lots[0], replace(component, hold="asked")))
    assert check(held, forecast_plan(held)) == ()
    assert verdict(held, L="no components", H="held") == set()
    assert verdict(held, L="no open hours", H="held") == {Rule.STATUS}


def test_what_is_under_way_where_nobody_comes_any_more_does_not_go_on_elsewhere():
    days = calendar(("06:00", "14:00"))
    stations = [station("N", calendar=calendar(("22:00", "06:00"))), station("D", calendar=days)]
    begun = lot("L", operation("10", single(61), open_jobs=(OpenJob("N", 1, at(0)),)))
    case = shop(stations, begun)
    assert Rule.STATUS in verdict(case, L="no open hours")
    case = replace(case, people=(Crew(days, 1, 1),))
    assert check(case, forecast_plan(case)) == ()
    assert verdict(case, L="no open hours") == set()


def test_what_hours_stop_need_not_be_done_where_the_status_names_something_else():
    days, bolts = calendar(("06:00", "14:00")), NotBefore(None, "bolts")
    stations = [station("N", calendar=calendar(("22:00", "06:00"))), station("D", "bench", calendar=days)]
    steps = [operation("10", single(61), open_jobs=(OpenJob("N", 1, at(0)),)), operation("20", single(1), "bench")]
    waits = operation("30", single(1), "bench", waiting=1, not_before=bolts)
    case = replace(shop(stations, lot("L", *steps, waits)), people=(Crew(days, 1, 1),))
    assert check(case, forecast_plan(case)) == ()
    assert verdict(case, L="no components") == verdict(case, L="no open hours") == set()
    assert verdict(replace(case, people=None), L="no components") == {Rule.UNDER_WAY, Rule.COUNT}


def test_a_lot_with_pieces_on_hold_is_held_also_while_it_waits_for_another():
    whole = lot("A", operation("10", single(10), waiting=1, held=1, components=("B",)))
    case = shop([station("M")], whole, lot("B", operation("10", single(10), waiting=1), hold="asked"))
    assert check(case, forecast_plan(case)) == ()
    assert verdict(case, A="held", B="held") == verdict(case, A="no components", B="held") == set()
    free = replace(case, lots=(lot("A", replace(whole.operations[0], held=0)), case.lots[1]))
    assert verdict(free, A="held", B="held") == {Rule.STATUS}


@pytest.mark.parametrize(
    ("arrivals", "more", "status"),
    [
        (10, {}, "planned"),
        (4, {}, "no blanks"),
        (10, {"not_before": NotBefore(None, "bolts")}, "no components"),
        (12, {"not_before": NotBefore(None, "bolts"), "open_jobs": (OpenJob("", 2, at(-99)),)}, "no components"),
        (-4, {}, "bad input"),
    ],
)
def test_blanks_that_are_counted_go_on_though_others_are_still_to_come(arrivals, more, status):
    blanks = operation("5", Purchase((Arrival(at(60), arrivals),)), "", waiting=10, counted=3, **more)
    case = shop([station("M")], lot("A", blanks, operation("10", single(10))))
    found = forecast_plan(case)
    assert check(case, found) == ()
    assert found.lots[0].status == status
    assert next((run.pieces, run.end) for run in found.operations if run.index == 1) == (3, at(30))


def test_what_no_station_does_is_told_though_hours_stop_what_its_pieces_wait_for():
    """That the component never gets its hours comes out only in planning; the lot has no station all the same."""
    never = station("N", "lathe", calendar=calendar(overtime=(Span(at(0), at(30)),)))
    early = lot("A", operation("10", single(20), "lathe", waiting=1))
    component = lot("C", operation("10", single(20), "lathe", waiting=1))
    waits = operation("10", single(5), waiting=1, components=("C",))
    case = shop([station("M"), never], early, component, lot("L", waits, operation("20", single(5), "nowhere")))
    assert check(case, forecast_plan(case)) == ()
    made = row("A", 0, "N", 0, 20)
    assert verdict(case, made, C="no open hours", L="no station") == set()
    assert verdict(case, made, C="no open hours", L="bad input") == {Rule.STATUS}


def test_a_station_that_cannot_hold_the_largest_run_does_none_of_it():
    """Of 28 pieces 4 go first at the wide station, set up for them; then it is not, and 24 would fit only elsewhere."""
    day, narrow = calendar(("08:00", "18:00")), calendar(("08:00", "16:30"))
    wide = station("W", calendar=day, over_closed=OverClosed.FIT, set_up_for="P")
    low = station("L", calendar=narrow, over_closed=OverClosed.FIT, set_up_fixture="vise")
    blanks = operation("5", Purchase((Arrival(at(24 * 60), 24),)), "", waiting=24, counted=4)
    cut = operation("10", single(20), setup=150, family="P", fixture="vise", fixture_setup_s=300)
    other = lot("B", operation("10", single(10), waiting=1, stations=("W",)))
    case = shop([wide, low], lot("A", blanks, cut), other)
    rows = [row("A", 0, None, 0, 24 * 60, 24), row("A", 1, "W", 480, 560, 4), row("B", 0, "W", 560, 570)]
    assert verdict(case, *rows, A="no open hours") == set()
    assert check(case, forecast_plan(case)) == ()
    fewer_blanks = replace(blanks, taking=Purchase((Arrival(at(24 * 60), 20),)), waiting=20)
    fewer = replace(case, lots=(lot("A", fewer_blanks, cut), other))
    rows[0] = row("A", 0, None, 0, 24 * 60, 20)
    assert Rule.COUNT in verdict(fewer, *rows, A="no open hours")
