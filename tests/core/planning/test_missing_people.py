"""Whether somebody can do it: only those count who are there while a station for it is open, from now on."""

from dataclasses import replace

import pytest

from app.core.calendars import WorkCalendar
from app.core.plan_check import check
from app.core.planning.decoding import FIRST_DAYS, Decoded, decode
from app.core.planning.obstacles import Obstacle, ObstacleKind
from app.core.planning.outcome import obstacle_of, plan_of_arrays
from app.core.planning.packing import pack
from app.core.shop import Crew, Lot, OverClosed, Shop, Station
from app.core.worktime import Span
from tests.core.planning.plans import runs
from tests.core.shops import at, calendar, hours_of, lot, operation, shop, single, station

DAY_SHIFT, NIGHT_SHIFT = ("06:00", "14:00"), ("22:00", "06:00")
DAY_CREW = Crew(calendar(DAY_SHIFT), 0, 1)
SATURDAY = Span(at(5 * 1440 + 480), at(5 * 1440 + 720))
NOBODY = Obstacle(ObstacleKind.NO_PERSON, "10")


def on(overtime: Span, setters: int = 1) -> Crew:
    return Crew(WorkCalendar(hours_of(overtime=(overtime,))), setters, 1)


def bench(key: str = "M", shift: tuple[str, str] = DAY_SHIFT, **more: object) -> Station:
    return station(key, calendar=WorkCalendar(hours_of(shift, overtime=(SATURDAY,))), **more)


def waiting(count: int, **more: object) -> list[Lot]:
    """Return so many lots that are due one after another, and one of an hour without set-up that is due last."""
    step = {"taking": single(more.pop("minutes", 10)), "waiting": 1} | more
    lots = [lot(f"S{number}", operation("10", **step), due=at(number)) for number in range(count)]
    return [*lots, lot("plain", operation("10", single(60), waiting=1), due=at(9_999))]


def decoded(case: Shop, *crews: Crew) -> Decoded:
    """Return a shop of such people decoded: without error, and nobody looked ten years ahead."""
    case = replace(case, people=crews)
    found = decode(case)
    assert check(case, plan_of_arrays(found)) == ()
    assert found.packing.tables.hours == pack(case, FIRST_DAYS).tables.hours
    return found


@pytest.mark.parametrize(
    ("crews", "lots"),
    [
        ([DAY_CREW, Crew(calendar(NIGHT_SHIFT), 1, 1)], waiting(25, setup=5)),
        ([DAY_CREW, Crew(calendar(NIGHT_SHIFT), 1, 1)], waiting(25, tend_permille=2000)),
        ([DAY_CREW, on(Span(at(-600), at(-300)))], waiting(25, setup=5)),
    ],
    ids=["who sets up comes at night", "two come one after the other", "who set up was there last week"],
)
def test_people_who_are_never_there_while_the_station_is_open_do_not_count(crews: list[Crew], lots: list[Lot]) -> None:
    found = decoded(shop([bench()], *lots, now=at(360)), *crews)
    assert [obstacle_of(found, place) for place in range(25)] == [NOBODY] * 25
    assert runs(plan_of_arrays(found), "plain") == [(360, 420)]


def test_who_comes_too_late_in_the_day_for_what_must_fit_does_not_count() -> None:
    """The station is attended for 16 hours at a stretch, but after 14:00, when somebody sets up, only for eight."""
    late = Crew(calendar(("14:00", "22:00")), 1, 1)
    mill = bench(shift=("06:00", "22:00"), over_closed=OverClosed.FIT)
    found = decoded(shop([mill], *waiting(25, minutes=600, setup=5), now=at(360)), DAY_CREW, late)
    assert {obstacle_of(found, place) for place in range(25)} == {NOBODY}
    assert runs(plan_of_arrays(found), "plain") == [(360, 420)]


def test_what_a_saturdays_setter_does_not_get_to_is_told_and_the_rest_goes_on() -> None:
    """Both stations are set up from 8:00 to 12:00 by one person: one lot; the other station waits for her in vain."""
    lots = waiting(25, setup=240, minutes=30)
    found = decoded(shop([bench("M"), bench("N")], *lots, now=at(360)), DAY_CREW, on(SATURDAY))
    plan = plan_of_arrays(found)
    assert runs(plan, "S0") == [(5 * 1440 + 480, 7 * 1440 + 390)]
    assert [obstacle_of(found, place) for place in range(1, 25)] == [NOBODY] * 24
    assert runs(plan, "plain") == [(7 * 1440 + 360, 7 * 1440 + 420)]  # till then twenty wait before it
