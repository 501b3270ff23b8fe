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


def kept_at_noon(*crews, tend=0, setup=0, lathe=None):
    """A mill that is closed from 12:00 to 12:30 and a lathe; a lot of an hour of work for each."""
    stations = [
        station("M1", calendar=calendar(("06:00", "12:00"), ("12:30", "18:00"))),
        station("L1", "lathe", calendar=lathe),
    ]
    lots = [
        lot(key, operation("10", single(60), center, waiting=1, setup=setup, tend_permille=tend))
        for key, center in (("A", "mill"), ("B", "lathe"))
    ]
    return replace(shop(stations, *lots), people=crews or None)


def begun_at(kept, other, setup=0, end=None):
    """The lot at the mill, whose pause is in its run, and the one at the lathe."""
    whole = 60 + setup
    return [
        row("A", 0, "M1", kept, kept + whole + 30, setup=setup),
        row("B", 0, "L1", other, end or other + whole, setup=setup),
    ]


def test_who_sets_up_is_left_to_the_station_that_opens_again():
    """From 11:30 on half an hour of A's set-up is left at 12:30, when B is still set up unless it began by 11:30."""
    one = kept_at_noon(crew(1, 0), setup=60)
    assert verdict(one, *begun_at(690, 720, setup=60)) == {Rule.PEOPLE}
    assert verdict(one, *begun_at(690, 779, setup=60)) == {Rule.PEOPLE}
    assert verdict(one, *begun_at(690, 780, setup=60)) == set()
    assert verdict(kept_at_noon(crew(2, 0), setup=60), *begun_at(690, 720, setup=60)) == set()
    assert verdict(kept_at_noon(setup=60), *begun_at(690, 720, setup=60)) == set()


def test_shares_are_left_to_it_too():
    assert verdict(kept_at_noon(crew(0, 1), tend=500), *begun_at(690, 720)) == set()
    assert verdict(kept_at_noon(crew(0, 1), tend=501), *begun_at(690, 720)) == {Rule.PEOPLE}
    assert verdict(kept_at_noon(crew(0, 1), tend=501), *begun_at(690, 779)) == {Rule.PEOPLE}
    assert verdict(kept_at_noon(crew(0, 1), tend=501), *begun_at(690, 780)) == set()


def test_who_is_there_at_the_opening_counts():
    day, later = calendar(("06:00", "18:00")), calendar(("12:30", "18:00"))
    early = calendar(("06:00", "12:15"))
    two_later = kept_at_noon(crew(0, 1, day), crew(0, 1, later), tend=1000)
    assert verdict(two_later, *begun_at(690, 720)) == set()
    two_before = kept_at_noon(crew(0, 1, day), crew(0, 1, early), tend=1000)
    assert verdict(two_before, *begun_at(690, 720)) == {Rule.PEOPLE}
    fewer_than_it_alone_asks_for = kept_at_noon(crew(1, 2, early), crew(0, 1, calendar(("12:15", "18:00"))), tend=2000)
    assert verdict(fewer_than_it_alone_asks_for, *begun_at(690, 720)) == set()


def test_where_its_own_station_is_closed_at_the_opening_it_holds_nobody():
    lathe = calendar(("06:00", "12:20"), ("13:00", "18:00"))
    assert verdict(kept_at_noon(crew(0, 1), tend=1000, lathe=lathe), *begun_at(690, 720, end=820)) == set()
    lathe = calendar(("06:00", "12:20"), ("12:30", "18:00"))
    assert verdict(kept_at_noon(crew(0, 1), tend=1000, lathe=lathe), *begun_at(690, 720, end=790)) == {Rule.PEOPLE}
