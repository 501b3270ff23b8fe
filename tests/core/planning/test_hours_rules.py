"""Hand cases of what stations do when they close, by the minute (from Monday 00:00), reckoned by hand."""

from datetime import date

import pytest

from app.core.calendar_hours import Downtime
from app.core.shop import Crew, OverClosed
from app.core.worktime import Span
from tests.core.planning.plans import finishes, plan, runs
from tests.core.shops import at, calendar, lot, operation, round_the_clock, shop, single, station

DAY_SHIFT = (("06:00", "14:00"),)


def one_lot(minutes: float, setup: float = 0, now: float = 13 * 60, **more: object):
    """Return a shop in which one piece of so many minutes is to be made by a station of one shift, from 13:00."""
    step = operation("10", single(minutes), setup=setup, waiting=1)
    return shop([station("M1", calendar=calendar(*DAY_SHIFT), **more)], lot("A", step), now=at(now))


@pytest.mark.parametrize(("work", "end"), [(30, 810), (60, 840), (90, 1440 + 390), (60 + 480, 1440 + 840)])
def test_work_pauses_while_closed_and_ends_at_closing_when_it_just_fits(work: float, end: float) -> None:
    assert runs(plan(one_lot(work)), "A") == [(780, end)]


@pytest.mark.parametrize(("work", "setup", "run"), [(60, 0, (780, 840)), (61, 0, (1800, 1861)), (50, 11, (1800, 1861))])
def test_work_that_must_fit_waits_for_hours_that_hold_set_up_and_work(work: float, setup: float, run: object) -> None:
    assert runs(plan(one_lot(work, setup, over_closed=OverClosed.FIT)), "A") == [run]


def test_what_must_fit_lets_shorter_work_go_first() -> None:
    long = lot("A", operation("10", single(90), waiting=1), due=at(1))
    short = lot("B", operation("10", single(30), waiting=1), due=at(2))
    bench = station("M1", calendar=calendar(*DAY_SHIFT), over_closed=OverClosed.FIT)
    found = plan(shop([bench], long, short, now=at(780)))
    assert (runs(found, "A"), runs(found, "B")) == ([(1800, 1890)], [(780, 810)])


def test_what_fits_no_hours_is_told_and_the_rest_is_planned() -> None:
    never = lot("A", operation("10", single(481), waiting=1))
    bench = station("M1", calendar=calendar(*DAY_SHIFT), over_closed=OverClosed.FIT)
    found = plan(shop([bench], never, lot("B", operation("10", single(5), waiting=1)), now=at(780)))
    assert [one.status for one in found.lots] == ["no open hours", "planned"]


@pytest.mark.parametrize(("work", "end"), [(60, 840), (180, 960), (181, 1801), (300, 1920)])
def test_work_goes_on_unattended_for_so_long_and_then_pauses(work: float, end: float) -> None:
    found = plan(one_lot(work, over_closed=OverClosed.UNATTENDED, unattended_s=7200))
    assert runs(found, "A") == [(780, end)]


def test_set_up_needs_attended_hours_and_work_may_begin_as_people_leave() -> None:
    alone = {"over_closed": OverClosed.UNATTENDED, "unattended_s": 7200}
    assert runs(plan(one_lot(100, setup=90, **alone)), "A") == [(780, 1830 + 100)]
    assert runs(plan(one_lot(100, setup=60, **alone)), "A") == [(780, 940)]


def test_overtime_and_closed_days_are_reckoned_with() -> None:
    """From Monday 13:00: an hour, none on Tuesday, which is closed, two of overtime in its evening, then Wednesday."""
    hours = calendar(
        *DAY_SHIFT, closed_days=frozenset({date(2026, 1, 6)}), overtime=(Span(at(1440 + 1080), at(1440 + 1200)),)
    )
    found = plan(shop([station("M1", calendar=hours)], lot("A", operation("10", single(181), waiting=1)), now=at(780)))
    assert runs(found, "A") == [(780, 2 * 1440 + 361)]


@pytest.mark.parametrize(("work", "end"), [(180, 960), (181, 1801)])
def test_work_goes_on_alone_when_the_crew_leaves_though_the_station_stays_open(work: float, end: float) -> None:
    bench = station("M1", calendar=round_the_clock(), over_closed=OverClosed.UNATTENDED, unattended_s=7200)
    step = operation("10", single(work), waiting=1)
    found = plan(shop([bench], lot("A", step), now=at(780)), Crew(calendar(*DAY_SHIFT), 1, 1))
    assert runs(found, "A") == [(780, end)]


def test_nothing_starts_unattended() -> None:
    first = lot("A", operation("10", single(90), waiting=1), due=at(1))
    second = lot("B", operation("10", single(5), waiting=1), due=at(2))
    bench = station("M1", calendar=calendar(*DAY_SHIFT), over_closed=OverClosed.UNATTENDED, unattended_s=7200)
    found = plan(shop([bench], first, second, now=at(780)))
    assert (runs(found, "A"), runs(found, "B")) == ([(780, 870)], [(1800, 1805)])


def test_nothing_goes_on_while_the_station_is_down() -> None:
    down = calendar(*DAY_SHIFT, downtimes=(Downtime(at(870), at(900)),))
    bench = station("M1", calendar=down, over_closed=OverClosed.UNATTENDED, unattended_s=7200)
    found = plan(shop([bench], lot("A", operation("10", single(120), waiting=1)), now=at(780)))
    assert runs(found, "A") == [(780, 1800 + 30)]


def test_a_station_is_attended_only_while_a_crew_is_there() -> None:
    late = Crew(calendar(("10:00", "18:00")), 1, 1)
    step = operation("10", single(60), waiting=1, tend_permille=1000)
    bench = station("M1", calendar=calendar(("06:00", "14:00")))
    found = plan(shop([bench], lot("A", step), now=at(360)), late)
    assert runs(found, "A") == [(600, 660)]


def test_a_faster_station_gets_what_it_ends_first() -> None:
    step = operation("10", single(60), waiting=2)
    stations = [station("slow", pace=50), station("quick", pace=150)]
    found = plan(shop(stations, lot("A", step), lot("B", step)))
    assert finishes(found) == {"A": 80, "B": 240}


def test_a_lot_released_later_begins_then() -> None:
    step = operation("10", single(10), waiting=1)
    assert runs(plan(shop([station("M1")], lot("A", step, released=at(45)))), "A") == [(45, 55)]
