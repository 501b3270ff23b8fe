"""The search: never worse than the plan as it stands, the same for the same effort, and proved by the checker."""

import json

import pytest

from app.core.case_file import shop_of_case
from app.core.job_shop_text import read_job_shop
from app.core.plan_check import check
from app.core.planning.decoding import decode
from app.core.planning.listing import as_line
from app.core.planning.packing import pack
from app.core.planning.ranked import with_ranks
from app.core.planning.search import Effort, improve, value
from app.core.shop import OverClosed, Shop
from app.core.worktime import Span
from tests.bench.cases.shop_cases import make_case
from tests.core.planning.every_rule import draw_shop
from tests.core.planning.plans import finishes, plan
from tests.core.shops import MINUTE, at, calendar, lot, operation, shop, single, station
from tests.published.job_shops import best_known, texts


def case(kind: str, seed: int, lots: int = 20):
    """Return a small shop drawn as the frozen planning cases are."""
    return shop_of_case(json.loads(json.dumps(make_case(kind, seed, lots=lots))))


@pytest.mark.parametrize("seed", range(8))
def test_a_search_among_ranks_is_never_worse_and_breaks_no_rule(seed: int) -> None:
    problem = draw_shop(seed, lots=5, operations=3)
    found = improve(problem, Effort(moves=40))
    assert value(problem, found.plan, makespan=False) <= value(problem, found.start, makespan=False)
    assert check(problem, found.plan) == ()


def test_a_search_among_lists_is_better_and_breaks_no_rule() -> None:
    problem = case("heavy", 3)
    found = improve(problem, Effort(moves=2_000))
    assert found.plan.weighted_tardiness < found.start.weighted_tardiness
    assert check(problem, found.plan) == ()


def test_the_same_effort_and_seed_give_the_same_plan() -> None:
    problem = case("moderate", 1)
    effort = Effort(moves=600, searches=2, seed=5)
    assert improve(problem, effort).plan == improve(problem, effort).plan
    ranked = draw_shop(3, lots=4, operations=3)
    assert improve(ranked, Effort(moves=30, seed=2)).plan == improve(ranked, Effort(moves=30, seed=2)).plan


def test_a_search_by_the_clock_ends_when_its_time_is_over() -> None:
    ticks = iter(range(1_000_000))
    found = improve(case("moderate", 2), Effort(seconds=3, clock=lambda: float(next(ticks))))
    assert found.plan.weighted_tardiness <= found.start.weighted_tardiness


def test_no_effort_gives_the_plan_as_it_stands_or_the_best_rule() -> None:
    problem = case("heavy", 1)
    found = improve(problem, Effort(moves=0))
    assert found.plan.weighted_tardiness <= found.start.weighted_tardiness


def test_a_small_published_instance_is_solved() -> None:
    found = improve(read_job_shop(texts()["ft06"]), Effort(moves=6_000, seed=3), makespan=True)
    assert found.plan.makespan == best_known()["ft06"][1]


def test_pinned_lots_keep_their_place() -> None:
    late = lot("late", operation("10", single(60), waiting=1), due=at(60), weight=9)
    pinned = lot("pinned", operation("10", single(600), waiting=1), pinned=1)
    problem = shop([station("M1")], late, pinned)
    assert finishes(improve(problem, Effort(moves=30)).plan) == {"late": 660, "pinned": 600}


def test_a_list_keeps_hours_set_ups_and_stations_that_differ() -> None:
    """Two stations, one that must fit and one that goes on unattended: 40 lots, no rule broken."""
    stations = [
        station("A", calendar=calendar(("06:00", "14:00")), over_closed=OverClosed.FIT),
        station("B", calendar=calendar(("06:00", "14:00")), over_closed=OverClosed.UNATTENDED, unattended_s=9_000),
        station("C", "lathe", calendar=calendar(("08:00", "12:00"))),
    ]
    lots = []
    for number in range(40):
        mill = operation(
            "10",
            single(7 + 13 * number % 90),
            setup=20,
            waiting=1,
            family=f"P{number % 5}",
            fixture=f"F{number % 2}",
            fixture_setup_s=5 * MINUTE,
        )
        turn = operation("20", single(11 + 7 * number % 50), "lathe")
        lots.append(lot(f"L{number}", mill, turn, due=at(1440 * (1 + number % 4)), released=at(30 * number)))
    problem = shop(stations, *lots)
    assert as_line(pack(problem, 420), makespan=False) is not None
    found = improve(problem, Effort(moves=300))
    assert check(problem, found.plan) == ()


@pytest.mark.parametrize("makespan", [False, True])
def test_where_hours_run_out_the_search_plans_more_lots_than_the_ranks_do(*, makespan: bool) -> None:
    four_hours = calendar(days=[], overtime=(Span(at(0), at(240)),))
    pieces = {"A": 20, "B": 11, "C": 12}
    lots = (
        lot(key, operation("10", single(10), waiting=count), due=at(place))
        for place, (key, count) in enumerate(pieces.items())
    )
    problem = shop([station("M", calendar=four_hours)], *lots)
    found = improve(problem, Effort(moves=30), makespan=makespan)
    assert check(problem, found.plan) == ()
    assert finishes(found.start) == {"A": 200, "B": None, "C": None}
    assert [key for key, end in finishes(found.plan).items() if end is None] == ["A"]


def test_the_last_lot_ends_earliest_where_an_order_saves_the_most_set_up() -> None:
    lots = (
        lot(key, operation("10", single(10), setup=90, family=family, waiting=1))
        for key, family in zip("ABCD", "xyxy", strict=True)
    )
    problem = shop([station("M")], *lots)
    found = improve(problem, Effort(moves=200), makespan=True)
    assert check(problem, found.plan) == ()
    assert (found.start.makespan, found.plan.makespan) == (400 * MINUTE, 220 * MINUTE)


def test_a_list_keeps_a_set_up_that_only_what_has_the_same_fixture_needs() -> None:
    lots = (
        lot(key, operation("10", single(10), fixture="vise", fixture_setup_s=5 * MINUTE, waiting=1), due=at(0))
        for key in "AB"
    )
    problem = shop([station("M")], *lots)
    found = improve(problem, Effort(moves=30))
    assert [check(problem, each) for each in found.found] == [()]
    assert found.plan.makespan == 25 * MINUTE


def test_what_is_more_than_a_list_is_not_taken_for_one() -> None:
    for seed in range(20):
        packing = decode(draw_shop(seed)).packing
        assert as_line(packing, makespan=False) is None


@pytest.mark.parametrize(
    "drawn", [case("heavy", 2, lots=8), *(draw_shop(seed, lots=6, operations=4) for seed in (901, 902, 911))]
)
def test_plans_by_ranks_are_what_dispatching_by_their_ranks_gives(drawn: Shop) -> None:
    improved = improve(drawn, Effort(moves=60, seed=2), by_ranks=True)
    assert len(improved.ranks) == len(improved.found)
    for found, ranks in zip(improved.found, improved.ranks, strict=True):
        again = plan(with_ranks(drawn, ranks))
        assert (again.operations, again.lots) == (found.operations, found.lots)


def test_a_search_by_ranks_gives_a_few_good_plans_to_choose_from_the_best_first() -> None:
    problem = draw_shop(2, lots=8, operations=4)
    improved = improve(problem, Effort(moves=150), by_ranks=True)
    values = [value(problem, each, makespan=False) for each in improved.found]
    assert 1 < len(values) <= 5
    assert values == sorted(set(values))
    assert improved.plan == improved.found[0]
    assert all(check(problem, each) == () for each in improved.found)
