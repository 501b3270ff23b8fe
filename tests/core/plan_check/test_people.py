"""People: enough to set up and to tend each time something begins."""

from dataclasses import replace

from app.core.plan_check import Rule
from app.core.shop import Crew, OverClosed, PalletLoad
from tests.core.plan_check.plans import row, verdict
from tests.core.shops import HOUR, calendar, lot, operation, round_the_clock, shop, single, station


def crew(setters, tenders, hours=None):
    return Crew(hours or round_the_clock(), setters, tenders)


def three_mills(*crews, tend=0, setup=0, **more):
    """Three mills, and three lots of one piece that takes an hour."""
    lots = [
        lot(key, operation("10", single(60), waiting=1, setup=setup, tend_permille=tend)) for key in ("A", "B", "C")
    ]
    return replace(shop([station(name, **more) for name in ("M1", "M2", "M3")], *lots), people=crews or None)


def at_once(*starts, setup=0):
    stations = ("M1", "M2", "M3")
    return [
        row(key, 0, place, start, start + 60 + setup, setup=setup)
        for key, place, start in zip("ABC", stations, starts, strict=True)
    ]


def test_as_many_set_up_at_once_as_there_are_who_can():
    two = three_mills(crew(2, 0), setup=30)
    assert verdict(two, *at_once(0, 0, 30, setup=30)) == set()
    assert verdict(two, *at_once(0, 0, 29, setup=30)) == {Rule.PEOPLE}
    assert verdict(two, *at_once(0, 0, 0, setup=30)) == {Rule.PEOPLE}
    assert verdict(three_mills(setup=30), *at_once(0, 0, 0, setup=30)) == set()


def test_one_person_tends_several_stations_as_far_as_the_shares_go():
    assert verdict(three_mills(crew(0, 1), tend=333), *at_once(0, 0, 0)) == set()
    assert verdict(three_mills(crew(0, 1), tend=500), *at_once(0, 0, 60)) == set()
    assert verdict(three_mills(crew(0, 1), tend=500), *at_once(0, 0, 59)) == {Rule.PEOPLE}


def test_tending_goes_on_through_set_up():
    case = three_mills(crew(3, 1), tend=500, setup=30)
    assert verdict(case, *at_once(0, 0, 20, setup=30)) == {Rule.PEOPLE}


def test_crews_add_up_where_they_overlap():
    early, late = calendar(("06:00", "14:00")), calendar(("13:00", "21:00"))
    case = three_mills(crew(0, 1, early), crew(0, 1, late), tend=1000)
    hour = 60
    assert verdict(case, *at_once(6 * hour, 13 * hour, 13 * hour)) == set()
    assert verdict(case, *at_once(6 * hour, 14 * hour, 14 * hour)) == {Rule.PEOPLE}
    assert verdict(case, *at_once(13 * hour, 13 * hour, 13 * hour)) == {Rule.PEOPLE}


def test_nothing_begins_and_no_set_up_goes_on_while_no_crew_is_there():
    day = calendar(("08:00", "16:00"))
    case = three_mills(crew(3, 0, day), setup=30)
    hour = 60
    assert verdict(case, *at_once(8 * hour, 9 * hour, 10 * hour, setup=30)) == set()
    assert Rule.UNATTENDED in verdict(case, *at_once(7 * hour, 9 * hour, 10 * hour, setup=30))
    late = at_once(8 * hour, 9 * hour, 15 * hour + 45, setup=30)
    assert verdict(case, *late) == {Rule.TIME}  # the rest of the set-up waits for the morning
    assert verdict(case, *late[:2], replace(late[2], end=late[0].start + 24 * HOUR + 75 * 60)) == set()


def test_what_runs_alone_at_night_needs_nobody_and_the_morning_has_everybody():
    day = calendar(("08:00", "16:00"))
    case = three_mills(crew(0, 1, day), tend=1000, over_closed=OverClosed.UNATTENDED, unattended_s=HOUR)
    hour = 60
    assert verdict(case, *at_once(15 * hour + 30, 32 * hour, 33 * hour)) == set()


def test_a_run_goes_on_when_the_next_crew_is_smaller_but_none_begins():
    early, late = calendar(("06:00", "14:00")), calendar(("14:00", "22:00"))
    case = three_mills(crew(0, 2, early), crew(0, 1, late), tend=1000)
    hour = 60
    assert verdict(case, *at_once(13 * hour + 30, 13 * hour + 30, 14 * hour + 30)) == set()
    assert verdict(case, *at_once(13 * hour + 30, 13 * hour + 30, 14 * hour + 29)) == {Rule.PEOPLE}


def test_loading_pallets_takes_a_share_of_a_person():
    """Loading and unloading 4 of 10 minutes: 400 thousandths at least."""
    taking = PalletLoad(1, 6 * 60_000, 3 * 60_000, 60_000)
    lots = [lot(key, operation("10", taking, waiting=1, tend_permille=100)) for key in ("A", "B", "C")]
    case = shop([station(name) for name in ("M1", "M2", "M3")], *lots)
    rows = [replace(run, end=run.start + 600) for run in at_once(0, 0, 0)]
    assert verdict(replace(case, people=(crew(0, 2),)), *rows) == set()
    assert verdict(replace(case, people=(crew(0, 1),)), *rows) == {Rule.PEOPLE}
