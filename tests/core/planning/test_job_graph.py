"""The search on a job graph: what it reckons is what decoding its list says, whatever hours and set-ups there are."""

import json

import pytest

from app.core.case_file import shop_of_case
from app.core.job_shop_text import read_job_shop
from app.core.plan_check import check
from app.core.planning import graph_arrays as ga
from app.core.planning.decoding import PLAIN, decode
from app.core.planning.job_graph import JobGraph, as_job_graph
from app.core.planning.kernels.graph import take_order
from app.core.planning.kernels.graph_annealing import anneal_graph, begin_annealing
from app.core.planning.kernels.relinking import pairs_apart, relink
from app.core.planning.kernels.tabu import begin_search, search_tabu
from app.core.planning.list_plan import plan_of_list
from app.core.planning.listing import as_line
from app.core.planning.search import COOLING, Effort, improve
from app.core.shop import OverClosed, Shop
from tests.bench.cases.shop_cases import make_case
from tests.core.shops import MINUTE, at, calendar, lot, operation, shop, single, station
from tests.published.job_shops import best_known, texts


def begun(problem: Shop, *, makespan: bool) -> tuple[JobGraph, list[int]]:
    """Return the graph of a shop, and its array with the first operations of all lots, then the second and so on."""
    line = as_line(decode(problem).packing, makespan=makespan)
    graph = as_job_graph(line) if line is not None else None
    assert graph is not None
    array = list(graph.start)
    array[ga.GH_SEED] = 12_345
    lots = graph.lots_of(graph.nodes)
    in_turn = [lot for lot in dict.fromkeys(lots) for _ in range(lots.count(lot))]
    places = {lot: iter(range(len(lots))) for lot in lots}
    order = graph.order_of([lot for _, lot in sorted((next(places[lot]), lot) for lot in in_turn)])
    put(array, order)
    return graph, array


def put(array: list[int], order) -> None:
    array[array[ga.GH_ORDER] : array[ga.GH_ORDER] + len(order)] = order
    take_order(array)


def kept(array: list[int], part: int = ga.GH_KEPT) -> list[int]:
    return array[array[part] : array[part] + array[ga.GH_COUNT]]


def returning_shop(lots_count: int = 14) -> Shop:
    """Stations of three kinds of hours; lots come back to the first, set-up depends on fixture and family."""
    stations = [
        station("A", "A", calendar=calendar(("06:00", "14:00")), over_closed=OverClosed.FIT),
        station("B", "B", calendar=calendar(("06:00", "14:00")), over_closed=OverClosed.UNATTENDED, unattended_s=9_000),
        station("C", "C", calendar=calendar(("08:00", "12:00"), ("13:00", "17:00"))),
    ]
    lots = []
    for number in range(lots_count):
        context = {"family": f"P{number % 5}", "fixture": f"F{number % 2}", "fixture_setup_s": 5 * MINUTE}
        operations = [
            operation("10", single(7 + 13 * number % 90), "A", setup=20, waiting=1, **context),
            operation("20", single(11 + 7 * number % 50), "B", setup=15, **context),
            operation("30", single(20 + 11 * number % 70), "A", setup=20, **context),
            operation("40", single(30 + 17 * number % 70), "C"),
        ]
        weight = 1 + number % 3
        lots.append(
            lot(f"L{number}", *operations, due=at(300 * (1 + number % 4)), released=at(30 * number), weight=weight)
        )
    return shop(stations, *lots)


@pytest.mark.parametrize("name", ["ft06", "la01", "orb07"])
def test_tabu_moves_keep_the_ways_and_the_order_true(name: str) -> None:
    graph, array = begun(read_job_shop(texts()[name]), makespan=True)
    begin_search(array)
    for _ in range(20):
        assert search_tabu(array, 100) == 100 or array[ga.GH_BEST] == array[ga.GH_BOUND]
        reckoned = list(array[array[ga.GH_NODES] : array[ga.GH_NODES] + len(graph.nodes) * ga.NODE_COLUMNS])
        put(array, kept(array, ga.GH_ORDER))
        assert array[array[ga.GH_NODES] : array[ga.GH_NODES] + len(graph.nodes) * ga.NODE_COLUMNS] == reckoned
    plan = plan_of_list(graph.line, graph.lots_of(kept(array)))
    assert plan.makespan == array[ga.GH_BEST]
    assert best_known()[name][0] <= plan.makespan < 1.1 * best_known()[name][1]


@pytest.mark.parametrize("makespan", [False, True])
@pytest.mark.parametrize("kind", ["hours and set-ups", "hours", "always open"])
def test_annealing_reckons_what_decoding_says(kind: str, *, makespan: bool) -> None:
    problems = {
        "hours and set-ups": returning_shop,
        "hours": lambda: shop_of_case(json.loads(json.dumps(make_case("heavy", 2, lots=15)))),
        "always open": lambda: read_job_shop(texts()["la01"], due_factor=1),
    }
    problem = problems[kind]()
    graph, array = begun(problem, makespan=makespan)
    fixed = graph.line.fixed
    begin_annealing(fixed, array)
    first = array[ga.GH_BEST]
    for _ in range(10):
        anneal_graph(fixed, array, 100, 60, COOLING)
        plan = plan_of_list(graph.line, graph.lots_of(kept(array, ga.GH_ORDER)))
        assert (plan.makespan if makespan else plan.weighted_tardiness) == array[ga.GH_COST]
    plan = plan_of_list(graph.line, graph.lots_of(kept(array)))
    assert check(problem, plan) == ()
    assert (plan.makespan if makespan else plan.weighted_tardiness) == array[ga.GH_BEST] < first


def test_what_lies_between_two_orders_is_an_order_nearer_to_the_second() -> None:
    graph, array = begun(read_job_shop(texts()["la01"]), makespan=True)
    first = kept(array, ga.GH_ORDER)
    begin_search(array)
    search_tabu(array, 200)
    goal = kept(array)
    put(array, first)
    apart = relink(array, goal, 400)
    for place, node in enumerate(goal):
        array[node + ga.T_AT] = place
    assert apart > 20
    assert pairs_apart(array) == apart - apart * 400 // 1000
    plan = plan_of_list(graph.line, graph.lots_of(kept(array, ga.GH_ORDER)))
    assert check(graph.line.packing.shop, plan) == ()


def test_a_choice_of_stations_is_no_job_graph() -> None:
    mills = [station("A", "mill"), station("B", "mill")]
    line = as_line(decode(shop(mills, lot("L", operation("10", single(5), "mill", waiting=1)))).packing, makespan=False)
    assert line is not None
    assert as_job_graph(line) is None


def test_a_search_among_plans_and_one_long_annealing_are_both_never_worse_and_break_no_rule() -> None:
    problem = returning_shop(2)
    for moves in (300, 12_000):
        found = improve(problem, Effort(moves=moves), PLAIN)
        assert check(problem, found.plan) == ()
        assert found.plan.weighted_tardiness <= found.start.weighted_tardiness
