"""Whom stations hold is counted when that changes; here it is counted anew at every moment, and must be the same."""

from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest

from app.core.planning import arrays as a
from app.core.planning.decoding import PLAIN, make_arrays, set_ranks
from app.core.planning.kernels.dispatch import dispatch, goes_on, next_moment
from app.core.planning.kernels.people import count_at, count_crews
from app.core.planning.kernels.rows import station_at
from app.core.planning.kernels.setting_out import set_out
from app.core.planning.packing import pack
from app.core.planning.ranking import planned_order
from app.core.shop import Crew, OpenJob, OverClosed, Shop
from tests.core.planning.every_rule import draw_shop_of_few_people, draw_shop_of_much_under_way
from tests.core.planning.pausing_shops import draw_shop_of_pauses
from tests.core.shops import at, calendar, lot, operation, round_the_clock, shop, single, station

COUNTED = (a.N_SETTERS_USED, a.N_TENDERS_USED, a.N_SETTERS, a.N_TENDERS, a.N_REOPENS)


def moments(problem: Shop) -> Iterator[tuple[a.Packed, a.State, int]]:
    """Give the state of the decoder after each moment at which all people are counted."""
    packing = pack(problem, 60)
    p, s = make_arrays(packing, PLAIN, 8)
    set_ranks(a.Shop(p, s), planned_order(packing))
    set_out(p, s)
    while goes_on(s):
        now = next_moment(p, s)
        dispatch(p, s, now)
        if now < s[a.N_SAME]:
            yield p, s, now


def counted_anew(p: a.Packed, s: a.State, now: int) -> list[int]:
    """Return what counting all stations and crews comes to that forget what was counted."""
    s = list(s)
    s[a.N_SETTERS_USED] = s[a.N_TENDERS_USED] = 0
    benches = [p[station_at(p, number) + a.S_BENCH] for number in range(p[a.F_STATIONS_COUNT])]
    for y in benches:
        s[y + a.Y_TENDED], s[y + a.Y_SETTING], s[y + a.Y_REOPENS] = 0, 0, a.FOREVER
    s[a.N_REOPENS] = a.FOREVER
    for number in range(p[a.F_STATIONS_COUNT]):
        count_at(p, s, station_at(p, number), now)
    count_crews(p, s, now)
    assert s[a.N_SAME] == min(s[a.N_CREWS], *(s[y + a.Y_SAME] for y in benches))
    return [s[place] for place in COUNTED]


def draw_shop_that_goes_on_alone(seed: int) -> Shop:
    """Return a shop with pauses in which every other station goes on alone."""
    drawn = draw_shop_of_pauses(seed)
    alone = tuple(
        replace(each, over_closed=OverClosed.UNATTENDED, unattended_s=7200) if number % 2 else each
        for number, each in enumerate(drawn.stations)
    )
    return replace(drawn, stations=alone)


@pytest.mark.parametrize(
    "draw", [draw_shop_of_few_people, draw_shop_of_much_under_way, draw_shop_of_pauses, draw_shop_that_goes_on_alone]
)
def test_counting_anew_never_finds_other_people(draw: Callable[[int], Shop]) -> None:
    looked_at = 0
    for seed in range(12):
        for p, s, now in moments(draw(seed)):
            assert counted_anew(p, s, now) == [s[place] for place in COUNTED]
            looked_at += 1
    assert looked_at > 90


def test_a_load_that_needs_nobody_behind_one_that_ends_while_closed_keeps_no_people() -> None:
    """M closes from 9 to 12 and goes on alone; the load that is tended ends at 10, the one behind it needs nobody."""
    mill = replace(
        station("M", calendar=calendar(("06:00", "09:00"), ("12:00", "18:00"), days=range(7))),
        over_closed=OverClosed.UNATTENDED,
        unattended_s=4 * 3600,
    )
    begun = [OpenJob("M", 1, at(420)), OpenJob("M", 1, at(450))]
    problem = replace(
        shop(
            [mill, station("L", "lathe")],
            lot("A", operation("10", single(180), open_jobs=(begun[0],), tend_permille=1000)),
            lot("B", operation("10", single(400), open_jobs=(begun[1],))),
            *(lot(key, operation("10", single(50), "lathe", waiting=1, tend_permille=1000)) for key in "CDEFG"),
            now=at(480),
        ),
        people=(Crew(round_the_clock(), 1, 2),),
    )
    kept = []
    for p, s, now in moments(problem):
        assert counted_anew(p, s, now) == [s[place] for place in COUNTED]
        kept.append(s[a.N_REOPENS])
    assert at(720) - problem.now in kept
    assert kept[-1] == a.FOREVER
