"""What the checker accepts of a station, and how it catches each rule broken once."""

from dataclasses import replace

import pytest

from app.core.calendar_hours import Downtime
from app.core.plan_check import Rule
from app.core.shop import BarFed, OverClosed
from app.core.worktime import Span
from tests.core.plan_check.plans import row, verdict
from tests.core.shops import DAY, HOUR, at, calendar, lot, operation, shop, single, station

DAYS = calendar(("08:00", "16:00"))
OPENS, CLOSES, NEXT = 8 * 60, 16 * 60, 32 * 60  # minutes after Monday 00:00


def work(pieces=10, cycle=30, **more):
    """Ten pieces of half an hour: five hours."""
    return lot("L", operation("10", single(cycle), waiting=pieces, **more))


def one_station(**more):
    return shop([station("M", calendar=DAYS, **more)], work(setup=60))


# Hours.


def test_work_pauses_when_closed_and_goes_on_in_the_morning():
    case = one_station()
    assert verdict(case, row("L", 0, "M", 12 * 60, NEXT + 120, 10, setup=60)) == set()
    assert verdict(case, row("L", 0, "M", 12 * 60, NEXT + 60, 10, setup=60)) == {Rule.TIME}
    assert verdict(case, row("L", 0, "M", 12 * 60, 18 * 60, 10, setup=60)) == {Rule.TIME}


def test_work_that_ends_exactly_at_closing_ends_then_and_not_in_the_morning():
    case = one_station()
    assert verdict(case, row("L", 0, "M", 10 * 60, CLOSES, 10, setup=60)) == set()
    assert verdict(case, row("L", 0, "M", 10 * 60, NEXT, 10, setup=60)) == {Rule.TIME}


@pytest.mark.parametrize("start", [7 * 60, 16 * 60, 20 * 60])
def test_nothing_begins_while_nobody_is_there(start):
    end = OPENS + 360 if start < OPENS else NEXT + 360
    assert verdict(one_station(), row("L", 0, "M", start, end, 10, setup=60)) == {Rule.UNATTENDED}


def test_downtime_and_overtime_are_reckoned_with():
    hours = calendar(
        ("08:00", "16:00"),
        downtimes=(Downtime(at(10 * 60), at(12 * 60)),),
        overtime=(Span(at(16 * 60), at(18 * 60)),),
    )
    case = shop([station("M", calendar=hours)], work(setup=60))
    assert verdict(case, row("L", 0, "M", 9 * 60, 17 * 60, 10, setup=60)) == set()
    assert verdict(case, row("L", 0, "M", 9 * 60, 15 * 60, 10, setup=60)) == {Rule.TIME}
    assert verdict(case, row("L", 0, "M", 11 * 60, 18 * 60, 10, setup=60)) == {Rule.UNATTENDED}


def test_what_must_fit_is_not_begun_unless_it_ends_before_closing():
    case = one_station(over_closed=OverClosed.FIT)
    assert verdict(case, row("L", 0, "M", 10 * 60, CLOSES, 10, setup=60)) == set()
    assert verdict(case, row("L", 0, "M", 11 * 60, NEXT + 60, 10, setup=60)) == {Rule.FIT}


def test_unattended_work_goes_on_for_its_allowance_and_pauses_then():
    case = one_station(over_closed=OverClosed.UNATTENDED, unattended_s=2 * HOUR)
    assert verdict(case, row("L", 0, "M", 11 * 60, 17 * 60, 10, setup=60)) == set()
    assert verdict(case, row("L", 0, "M", 13 * 60, NEXT + 60, 10, setup=60)) == set()
    assert verdict(case, row("L", 0, "M", 13 * 60, 19 * 60, 10, setup=60)) == {Rule.TIME}
    assert verdict(case, row("L", 0, "M", 11 * 60, NEXT + 60, 10, setup=60)) == {Rule.TIME}


def test_set_up_needs_somebody_even_where_work_goes_on_unattended():
    case = one_station(over_closed=OverClosed.UNATTENDED, unattended_s=8 * HOUR)
    late = 15 * 60 + 30  # half the set-up today, the rest tomorrow from eight, then five hours
    assert verdict(case, row("L", 0, "M", late, NEXT + 30 + 300, 10, setup=60)) == set()
    assert verdict(case, row("L", 0, "M", late, late + 360, 10, setup=60)) == {Rule.TIME}
    assert verdict(case, row("L", 0, "M", 17 * 60, 23 * 60, 10, setup=60)) >= {Rule.UNATTENDED}


@pytest.mark.parametrize(("down", "alone"), [((17, 18), 60), ((15, 17), 0), ((16, 17), 0), ((18, 19), 120)])
def test_a_downtime_ends_what_runs_alone_for_nobody_starts_it_again(down, alone):
    """Ten pieces of half an hour from two in the afternoon, two hours of them alone at most."""
    hours = calendar(("08:00", "16:00"), downtimes=(Downtime(at(down[0] * 60), at(down[1] * 60)),))
    machine = station("M", calendar=hours, over_closed=OverClosed.UNATTENDED, unattended_s=2 * HOUR)
    case = shop([machine], work())
    today = (60 if down[0] < 16 else 120) + alone
    assert verdict(case, row("L", 0, "M", 14 * 60, NEXT + 300 - today, 10)) == set()
    assert verdict(case, row("L", 0, "M", 14 * 60, NEXT + 300 - today + 1, 10)) == {Rule.TIME}


def test_a_week_on_the_wall_clock_has_an_hour_less_when_clocks_go_forward():
    """Both change-overs of America/Chicago in 2026: 8 March and 1 November (tz database)."""
    for day, length in ((62, 23), (300, 25)):  # Sunday, so many days after Monday 5 January
        hours = calendar(("00:00", "00:00"), days=[6], zone="America/Chicago")
        machine = station("M", calendar=hours)
        start = at(0) + day * DAY + (6 if length == 23 else 5) * HOUR  # midnight in Chicago
        case = replace(shop([machine], work(pieces=1, cycle=length * 60)), now=start)
        minutes = (start - at(0)) / 60
        assert verdict(case, row("L", 0, "M", minutes, minutes + length * 60)) == set()
        assert verdict(case, row("L", 0, "M", minutes, minutes + 24 * 60)) >= {Rule.TIME}


# Stations, speed, order, set-up.


def test_a_station_does_only_what_belongs_to_it():
    mill, lathe = station("M"), station("T", "lathe")
    assert verdict(shop([mill, lathe], work()), row("L", 0, "M", 0, 300, 10)) == set()
    assert verdict(shop([mill, lathe], work()), row("L", 0, "T", 0, 300, 10)) == {Rule.STATION}
    only = shop([mill, station("N")], work(stations=("N",)))
    assert verdict(only, row("L", 0, "N", 0, 300, 10)) == set()
    assert verdict(only, row("L", 0, "M", 0, 300, 10)) == {Rule.STATION}


def test_what_the_problem_does_not_have_is_named():
    case = shop([station("M")], work())
    right = row("L", 0, "M", 0, 300, 10)
    for wrong in (
        replace(right, lot="X"),
        replace(right, index=1),
        replace(right, index=-1),
        replace(right, station="X"),
    ):
        assert Rule.UNKNOWN in verdict(case, wrong)
    assert Rule.UNKNOWN in verdict(case, replace(right, station=None))


def test_a_faster_station_takes_less_and_a_slower_one_longer():
    case = shop([station("M", pace=120), station("S", pace=70)], work())
    assert verdict(case, row("L", 0, "M", 0, 250, 10)) == set()
    assert verdict(case, row("L", 0, "M", 0, 300, 10)) == {Rule.TIME}
    slow = replace(row("L", 0, "S", 0, 0, 10), end=at(0) + 25_715)  # 1,800,000 ms / 0.7 is 2,571,428.6 ms
    assert verdict(case, slow) == set()
    assert verdict(case, replace(slow, end=slow.end - 1)) == {Rule.TIME}


def test_a_station_does_one_thing_at_a_time():
    case = shop([station("M")], work(), lot("K", operation("10", single(60), waiting=1)))
    first = row("L", 0, "M", 0, 300, 10)
    assert verdict(case, first, row("K", 0, "M", 300, 360)) == set()
    assert verdict(case, first, row("K", 0, "M", 299, 359)) == {Rule.OVERLAP}
    assert verdict(case, first, row("K", 0, "M", 100, 160)) == {Rule.OVERLAP}


def test_nothing_begins_before_now_or_before_its_release():
    case = shop([station("M")], replace(work(), released=at(60)))
    assert verdict(case, row("L", 0, "M", 60, 360, 10)) == set()
    assert verdict(case, row("L", 0, "M", 59, 359, 10)) == {Rule.TOO_EARLY}
    assert Rule.TOO_EARLY in verdict(shop([station("M")], work(), now=at(60)), row("L", 0, "M", 0, 300, 10))


def family(key, name, fixture=""):
    return lot(
        key,
        operation("10", single(60), waiting=1, setup=30, family=name, fixture=fixture, fixture_setup_s=600),
    )


def test_the_same_family_needs_no_set_up_and_the_same_fixture_a_part_of_it():
    machine = station("M", set_up_for="a", set_up_fixture="vise")
    case = shop(
        [machine], family("A", "a", "vise"), family("B", "b", "vise"), family("C", "b", "plate"), family("D", "")
    )
    right = [
        row("A", 0, "M", 0, 60),
        row("B", 0, "M", 60, 130, setup=10),
        row("C", 0, "M", 130, 190),
        row("D", 0, "M", 190, 280, setup=30),
    ]
    assert verdict(case, *right) == set()
    for n, run in enumerate(right):
        wrong = [*right[:n], replace(run, setup_s=run.setup_s + 60), *right[n + 1 :]]
        assert verdict(case, *wrong) == {Rule.SETUP}


def test_nothing_in_common_and_the_empty_text_need_a_full_set_up():
    case = shop([station("M", set_up_for="", set_up_fixture="")], family("A", ""), family("B", ""))
    right = [row("A", 0, "M", 0, 90, setup=30), row("B", 0, "M", 90, 180, setup=30)]
    assert verdict(case, *right) == set()
    assert Rule.SETUP in verdict(case, right[0], row("B", 0, "M", 90, 150))


def test_each_bar_begun_takes_a_bar_change():
    taking = BarFed(pieces_per_bar=4, cycle_ms=60_000, bar_change_ms=120_000)
    case = shop([station("M")], lot("L", operation("10", taking, waiting=9)))
    assert verdict(case, row("L", 0, "M", 0, 9 + 3 * 2, 9)) == set()
    assert verdict(case, row("L", 0, "M", 0, 9 + 2 * 2, 9)) == {Rule.TIME}


def test_times_are_rounded_up_once_to_a_second():
    case = shop([station("M")], lot("L", operation("10", single(1 / 60_000), waiting=1_001)))  # a millisecond each
    right = replace(row("L", 0, "M", 0, 0, 1_001), end=at(0) + 2)
    assert verdict(case, right) == set()
    assert verdict(case, replace(right, end=at(0) + 1)) == {Rule.TIME}
