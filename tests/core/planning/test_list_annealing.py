"""The annealing over lists: what a trial costs is what decoding its list says, and a move moves what it says."""

import json
from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.case_file import shop_of_case
from app.core.plan_check import check
from app.core.planning import arrays as a
from app.core.planning import list_arrays as la
from app.core.planning.decoding import PLAIN, decode
from app.core.planning.kernels.annealing import (
    anneal,
    decode_trial,
    known_before,
    passes_only_others,
    station_of,
    take_trial,
)
from app.core.planning.kernels.list_moves import rotate, shift_later, shift_sooner
from app.core.planning.kernels.snapshots import go_back
from app.core.planning.list_plan import plan_of_list
from app.core.planning.listing import Line, as_line
from app.core.planning.search import COOLING, best_by_rules
from app.core.shop import Shop
from tests.bench.cases.shop_cases import make_case
from tests.core.planning.test_job_graph import returning_shop
from tests.core.shops import at, calendar, lot, operation, shop, single, station

MOVES = {"rotate": rotate, "later": shift_later, "sooner": shift_sooner}


def shop_with_choice() -> Shop:
    """Two mills of different hours, each of which can do what is milled; one lathe."""
    stations = [
        station("A", "mill", calendar=calendar(("06:00", "14:00"))),
        station("B", "mill", calendar=calendar(("08:00", "18:00"))),
        station("C", "lathe", calendar=calendar(("06:00", "22:00"))),
    ]
    lots = []
    for number in range(30):
        steps = [
            operation("10", single(9 + 13 * number % 90), "mill", setup=20, waiting=1),
            operation("20", single(11 + 7 * number % 50), "lathe"),
            operation("30", single(5 + 17 * number % 60), "mill", setup=10),
        ]
        lots.append(lot(f"L{number}", *steps, due=at(300 * (1 + number % 4)), weight=1 + number % 3))
    return shop(stations, *lots)


SHOPS: dict[str, Callable[[], Shop]] = {
    "hours": lambda: shop_of_case(json.loads(json.dumps(make_case("heavy", 2, lots=25)))),
    "hours and set-ups": lambda: returning_shop(30),
    "a choice of stations": shop_with_choice,
}


def begun(problem: Shop, *, makespan: bool = False) -> tuple[Line, list[int]]:
    """Return the list of a shop and its array, with what the best rule says."""
    line = as_line(decode(problem).packing, makespan=makespan)
    assert line is not None
    course = best_by_rules(line, PLAIN, line.fixed)
    course[la.M_SEED] = 12_345
    return line, course


def lots_of(line: Line, course: list[int], column: int = la.D_LOT) -> list[int]:
    """Return the lots in a column of the places."""
    first, count = line.fixed[a.F_PLACES], line.fixed[a.F_STEPS_COUNT]
    return [course[first + place * la.PLACE_COLUMNS + column] for place in range(count)]


def trial_of(line: Line, course: list[int]) -> list[int]:
    """Return the lots of the list that is tried."""
    return course[line.fixed[a.F_TRIALS] :][: line.fixed[a.F_STEPS_COUNT]]


@pytest.mark.parametrize("makespan", [False, True])
@pytest.mark.parametrize("kind", SHOPS)
def test_annealing_reckons_what_decoding_says(kind: str, *, makespan: bool) -> None:
    problem = SHOPS[kind]()
    line, course = begun(problem, makespan=makespan)
    first = course[la.M_BEST]
    for _ in range(8):
        anneal(line.fixed, course, 40, 3_000, COOLING)
        plan = plan_of_list(line, lots_of(line, course))
        assert (plan.makespan if makespan else plan.weighted_tardiness) == course[la.M_COST]
        assert lots_of(line, course) == trial_of(line, course)
        assert_steps(line, course)
    plan = plan_of_list(line, lots_of(line, course, la.D_BEST))
    assert check(problem, plan) == ()
    assert (plan.makespan if makespan else plan.weighted_tardiness) == course[la.M_BEST] <= first


@given(
    source=st.integers(0, 209),
    by=st.integers(1, 209),
    kind=st.sampled_from(sorted(MOVES)),
    then=st.integers(0, 209),
)
def test_a_trial_from_its_snapshot_costs_what_the_whole_list_does(source: int, by: int, kind: str, then: int) -> None:
    line, course = CASE[0], list(CASE[1])
    for place, far in ((source, by), (then, 1 + by // 2)):
        MOVES[kind](line.fixed, course, place, far)
        cost = decode_trial(line.fixed, course, a.FOREVER, a.FOREVER)
        assert cost == plan_of_list(line, trial_of(line, course)).weighted_tardiness
        take_trial(line.fixed, course, cost)
        assert_steps(line, course)


CASE = begun(shop_of_case(json.loads(json.dumps(make_case("moderate", 3, lots=30)))))


def assert_steps(line: Line, course: list[int]) -> None:
    """The operation noted at each place is the next one of the lot there."""
    following = dict(enumerate(first_steps(line)))
    for which, step in zip(lots_of(line, course), lots_of(line, course, la.D_STEP), strict=True):
        assert step == following[which]
        following[which] += 1


def first_steps(line: Line) -> list[int]:
    """Return the first operation of each lot."""
    rows = range(
        line.fixed[a.F_JOURNEY_STEPS],
        line.fixed[a.F_JOURNEY_STEPS] + line.fixed[a.F_LOTS_COUNT] * la.JOURNEY_STEP_COLUMNS,
        la.JOURNEY_STEP_COLUMNS,
    )
    return [line.fixed[row + la.W_FIRST] for row in rows]


@given(source=st.integers(0, 209), by=st.integers(-8, 8))
def test_an_operation_that_passes_only_others_leaves_the_plan_as_it_is(source: int, by: int) -> None:
    line, course = CASE[0], list(CASE[1])
    target = min(max(source + by, 0), 209)
    rotate(line.fixed, course, source, target)
    same = plan_of_list(line, lots_of(line, course)) == plan_of_list(line, trial_of(line, course))
    way = list(range(source, target + 1) if target > source else range(source, target - 1, -1))
    lots, stations = lots_of(line, course), {at: station_of(line.fixed, course, at) for at in way}
    # At each place of its own lot another of its operations goes on.
    legs = pairwise([*(leg for leg, at in enumerate(way) if lots[at] == lots[source]), len(way)])
    met = any(stations[way[leg]] == stations[at] for leg, end in legs for at in way[leg + 1 : end])
    assert passes_only_others(line.fixed, course, source, target) == (not met)
    assert same or met


def test_a_trial_is_given_up_that_leaves_its_lots_hopelessly_late() -> None:
    line, course = CASE[0], list(CASE[1])
    rotate(line.fixed, course, 0, 150)
    cost = decode_trial(line.fixed, list(course), a.FOREVER, a.FOREVER)
    assert decode_trial(line.fixed, list(course), a.FOREVER, 0) == a.FOREVER > cost > course[la.M_COST]
    outlook_alone = cost - course[la.M_COST]
    assert decode_trial(line.fixed, list(course), a.FOREVER, 10 * outlook_alone) == cost


def test_nothing_is_said_of_a_trial_before_what_it_moves_is_in_its_place() -> None:
    line, course = CASE[0], list(CASE[1])
    rotate(line.fixed, course, 150, 60)
    go_back(line.fixed, course, 0)
    told = [known_before(line.fixed, course, place, 0, -a.FOREVER) for place in (64, 128, 192)]
    assert told == [-1, -1, a.FOREVER]


def test_where_stations_can_be_chosen_every_move_may_change_the_plan() -> None:
    line, course = begun(shop_with_choice())
    places = [at for at in range(90) if station_of(line.fixed, course, at) < 0]
    assert places
    assert not any(passes_only_others(line.fixed, course, at, at - 1) for at in places if at)
    assert all(passes_only_others(line.fixed, course, at, at) for at in places)


@given(st.lists(st.integers(0, 5), min_size=2, max_size=30), st.data())
def test_a_move_only_moves_one_lot_and_only_between_the_places_it_notes(lots: list[int], data: st.DataObject) -> None:
    kind = data.draw(st.sampled_from(sorted(MOVES)))
    source = data.draw(st.integers(0, len(lots) - 1))
    far = data.draw(st.integers(0 if kind == "rotate" else 1, len(lots) - 1))
    moved = tried(kind, lots, source, far)
    others = [each for each in lots if each != lots[source]]
    assert [each for each in moved if each != lots[source]] == others
    assert len(moved) == len(lots)


@pytest.mark.parametrize(
    ("kind", "source", "far", "after"),
    [
        ("rotate", 1, 4, "acdabaed"),
        ("rotate", 5, 0, "aabcdaed"),
        ("later", 0, 2, "bcadedaa"),
        ("later", 3, 2, "abcaedad"),
        ("sooner", 4, 2, "abacaded"),
        ("sooner", 4, 9, "aaabcded"),
        ("sooner", 7, 1, "abcdaade"),
    ],
)
def test_moves_by_hand(kind: str, source: int, far: int, after: str) -> None:
    lists = {"rotate": "abcdaaed", "later": "abcdaeda", "sooner": "abcdaaed"}
    before = lists[kind]
    assert (
        "".join("abcde"[each] for each in tried(kind, ["abcde".index(each) for each in before], source, far)) == after
    )


def tried(kind: str, lots: list[int], source: int, far: int) -> list[int]:
    """Return a list after a move, told from what the move notes as changed."""
    fixed = [0] * a.HEAD
    fixed[a.F_STEPS_COUNT], fixed[a.F_PLACES] = len(lots), la.M_NUMBERS
    fixed[a.F_TRIALS] = la.M_NUMBERS + len(lots) * la.PLACE_COLUMNS
    course = [0] * fixed[a.F_TRIALS] + lots
    for place, each in enumerate(lots):
        course[la.M_NUMBERS + place * la.PLACE_COLUMNS + la.D_LOT] = each
    MOVES[kind](fixed, course, source, far)
    trial = course[fixed[a.F_TRIALS] :]
    first, last = course[la.M_FIRST], course[la.M_LAST]
    assert trial[:first] == lots[:first]
    assert trial[last + 1 :] == lots[last + 1 :]
    return trial
