"""Hand cases of what stations do when they close, by the minute (from Monday 00:00), reckoned by hand."""

from dataclasses import replace
from datetime import date

import pytest

from app.core.calendar_hours import Downtime, OpenHours
from app.core.calendars import WorkCalendar
from app.core.plan_check import check
from app.core.plan_check.violations import Rule
from app.core.planning.decoding import FIRST_DAYS, decode
from app.core.planning.listing import as_line
from app.core.planning.obstacles import Obstacle, ObstacleKind
from app.core.planning.outcome import obstacle_of, plan_of_arrays
from app.core.planning.packing import pack
from app.core.planning.search import Effort, improve
from app.core.shop import Crew, Lot, OverClosed, Shop
from app.core.worktime import Span
from tests.core.planning.plans import finishes, plan, runs
from tests.core.shops import at, calendar, lot, minutes, operation, round_the_clock, shop, single, station

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


def whole_shift(key: str, **more: object) -> Lot:
    """Return a lot of family P1 whose work fills the shift of eight hours, without its half hour of set-up."""
    return lot(key, operation("10", single(480), setup=30, family="P1", waiting=1), **more)


def must_fit(*lots: Lot, **more: object) -> Shop:
    """Return a shop of one station that is open from 6:00 to 14:00, must fit, and is set up for P1."""
    bench = station("M1", calendar=calendar(*DAY_SHIFT), over_closed=OverClosed.FIT, set_up_for="P1", **more)
    return shop([bench], *lots, now=at(360))


def test_what_fits_only_without_its_set_up_is_done_where_the_station_is_set_up_for_it() -> None:
    case = must_fit(whole_shift("A"), whole_shift("B"))
    found = plan(case)
    assert (runs(found, "A"), runs(found, "B")) == ([(360, 840)], [(1800, 2280)])
    assert check(case, found) == ()
    told_otherwise = replace(found.lots[1], status="no open hours", finish=None, reason="It never fits.")
    wrong = replace(found, lots=(found.lots[0], told_otherwise), operations=found.operations[:1])
    assert Rule.STATUS in {each.rule for each in check(case, wrong)}


def test_what_fits_only_without_its_set_up_is_told_after_other_work_and_the_rest_is_planned() -> None:
    """Twenty-five such lots, more than a station looks past, keep nothing else from being done."""
    other = lot("other", operation("10", single(60), setup=30, family="P2", waiting=1), pinned=1)
    others = [lot(f"later {day}", operation("10", single(400), family="P2", waiting=1), due=at(9)) for day in range(3)]
    case = must_fit(other, *[whole_shift(f"A{number}", due=at(1)) for number in range(25)], *others)
    found = decode(case)
    plan = plan_of_arrays(found)
    assert runs(plan, "other") == [(360, 450)]
    assert [runs(plan, one.key) for one in others] == [[(1800 + day * 1440, 2200 + day * 1440)] for day in range(3)]
    assert obstacle_of(found, 1) == Obstacle(ObstacleKind.SETUP_NEVER_FITS, "10")
    assert check(case, plan) == ()
    assert found.packing.tables.hours == pack(case, FIRST_DAYS).tables.hours  # nobody looked for it ten years ahead


def test_a_search_finds_the_order_in_which_such_work_fits() -> None:
    """Due first, the short P1 is followed by P2 as the long one must wait for the morning; so P2 has to go before."""
    short = lot("short", operation("10", single(60), setup=30, family="P1", waiting=1), due=at(600))
    other = lot("other", operation("10", single(60), setup=30, family="P2", waiting=1), due=at(700))
    bench = station("M1", calendar=calendar(*DAY_SHIFT), over_closed=OverClosed.FIT)
    case = shop([bench], short, other, whole_shift("long", due=at(500)), now=at(360))
    assert as_line(decode(case).packing, makespan=False) is None
    assert finishes(plan(case)) == {"short": 450, "other": 540, "long": None}
    found = improve(case, Effort(moves=60)).plan
    assert finishes(found) == {"short": 540, "other": 450, "long": 2280}
    assert check(case, found) == ()


def test_a_station_that_holds_the_set_up_takes_it_where_the_other_would_have_to_be_set_up() -> None:
    benches = [
        station("M1", calendar=calendar(*DAY_SHIFT), over_closed=OverClosed.FIT),
        station("M2", calendar=calendar(("06:00", "15:00")), over_closed=OverClosed.FIT),
    ]
    case = shop(benches, whole_shift("A"), now=at(360))
    found = plan(case)
    assert [(run.station, minutes(run.end)) for run in found.operations] == [("M2", 870)]


def test_where_nobody_sets_up_what_needs_no_set_up_is_done_and_the_rest_told() -> None:
    hands = Crew(calendar(*DAY_SHIFT), 0, 1)
    case = replace(
        must_fit(whole_shift("A"), lot("B", operation("10", single(5), setup=5, waiting=1))), people=(hands,)
    )
    found = decode(case)
    assert runs(plan_of_arrays(found), "A") == [(360, 840)]
    assert obstacle_of(found, 1) == Obstacle(ObstacleKind.NO_PERSON, "10")
    assert check(case, plan_of_arrays(found)) == ()


def test_a_station_that_is_down_for_good_is_no_lack_of_people() -> None:
    """Its people are gone from it when it closes, and not the other way round."""
    hands = Crew(calendar(*DAY_SHIFT), 1, 1)
    down = OpenHours("UTC", calendar(*DAY_SHIFT).hours.shifts, downtimes=(Downtime(at(420), at(90 * 525_600)),))
    long = lot("A", operation("10", single(100), setup=5, waiting=1))
    case = replace(shop([station("M1", calendar=WorkCalendar(down))], long, now=at(360)), people=(hands,))
    found = decode(case)
    assert obstacle_of(found, 0) == Obstacle(ObstacleKind.TOO_FEW_HOURS, "10")
    assert check(case, plan_of_arrays(found)) == ()


def test_where_nobody_sets_up_other_families_wait_for_nobody() -> None:
    hands = Crew(calendar(*DAY_SHIFT), 0, 1)
    lots = [lot(f"B{number}", operation("10", single(5), setup=5, family="P2", waiting=1)) for number in range(25)]
    case = replace(must_fit(*lots, whole_shift("A", due=at(9))), people=(hands,))
    found = decode(case)
    assert runs(plan_of_arrays(found), "A") == [(360, 840)]
    assert obstacle_of(found, 1) == Obstacle(ObstacleKind.NO_PERSON, "10")
    assert check(case, plan_of_arrays(found)) == ()
    assert found.packing.tables.hours == pack(case, FIRST_DAYS).tables.hours


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
