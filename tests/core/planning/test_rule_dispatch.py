"""Dispatch of any shop by a rule: who goes first is asked anew whenever a station is free."""

import json
from dataclasses import replace

import pytest

from app.core.case_file import shop_of_case
from app.core.plan_check import check
from app.core.planning import list_arrays as la
from app.core.planning import rank_arrays as ra
from app.core.planning.decoding import PLAIN, Decoded, decode, set_ranks
from app.core.planning.listing import as_line
from app.core.planning.look_ahead import RULES
from app.core.planning.outcome import plan_of_arrays
from app.core.planning.rank_search import RankSearch
from app.core.planning.result_file import Plan
from app.core.planning.search import Effort, improve
from app.core.shop import Crew, Shop
from tests.bench.cases.shop_cases import make_case
from tests.core.planning.every_rule import draw_shop
from tests.core.shops import at, calendar, lot, operation, shop, single, station


def by_rule(problem: Shop, rule: int, tenths: int = 10) -> Plan:
    """Return the plan that dispatching by a rule comes to."""
    search = RankSearch(decode(problem).packing, PLAIN, makespan=False)
    arrays, ranked = search.room(seed=1)
    set_ranks(arrays, search.planned)
    ranked[ra.RH_RULE], ranked[ra.RH_TENTHS] = rule, tenths
    PLAIN.play_by_rule(arrays.fixed, arrays.state, ranked)
    return plan_of_arrays(Decoded(search.packing, arrays))


def three_lots() -> Shop:
    """Return a station with three lots, of 100, 40 and 20 minutes of work."""
    return shop(
        [station("M")],
        lot("A", operation("10", single(100), waiting=1), due=at(150), weight=4),
        lot("B", operation("10", single(40), waiting=1), due=at(100)),
        lot("C", operation("10", single(20), waiting=1), due=at(60)),
    )


@pytest.mark.parametrize(
    ("rule", "tenths", "order"),
    [
        (la.BY_DUE, 1, "CBA"),
        (la.BY_WORK, 1, "CBA"),
        (la.BY_REMAINING, 1, "ABC"),
        # At 0 the slack is 50, 60 and 40; at 20, when C is done, 30 and 40.
        (la.BY_SLACK, 1, "CAB"),
        # At 0 due by work is 1.5, 2.5 and 3; at 100, when A is done, B has 0 and C -2.
        (la.BY_RATIO, 1, "ACB"),
        # Weight by work is 0.04, 0.025 and 0.05.
        (la.BY_VALUE, 1, "CAB"),
        # Mean work 53.3, factor 0.1: at 0 exp(-slack / 5.33) by value is 3.4e-6, 3.3e-7 and 2.8e-5.
        (la.BY_COST, 1, "CAB"),
    ],
)
def test_a_rule_looks_at_the_clock_of_each_start(rule: int, tenths: int, order: str) -> None:
    assert "".join(run.lot for run in by_rule(three_lots(), rule, tenths).operations) == order


@pytest.mark.parametrize("kind", ["moderate", "heavy"])
def test_where_a_plan_is_a_list_both_ways_to_dispatch_by_a_rule_agree(kind: str) -> None:
    problem = shop_of_case(json.loads(json.dumps(make_case(kind, 4, lots=20))))
    line = as_line(decode(problem).packing, makespan=False)
    assert line is not None
    for rule, tenths in ((la.BY_SLACK, 1), (la.BY_COST, 20), (la.BY_COST, 80)):
        cost = PLAIN.by_rule(line.fixed, [0] * line.course_length, rule, tenths)
        assert by_rule(problem, rule, tenths).weighted_tardiness == cost


@pytest.mark.parametrize("seed", range(6))
def test_with_every_rule_of_the_model_the_plan_breaks_none(seed: int) -> None:
    problem = draw_shop(seed, lots=6, operations=3)
    for rule, tenths in RULES[::3]:
        assert check(problem, by_rule(problem, rule, tenths)) == ()


def test_what_is_pinned_goes_before_what_a_rule_would_begin() -> None:
    problem = shop(
        [station("M")],
        lot("A", operation("10", single(100), waiting=1), due=at(900), pinned=1),
        lot("B", operation("10", single(40), waiting=1), due=at(900), pinned=2),
        lot("C", operation("10", single(20), waiting=1), due=at(60)),
        lot("D", operation("10", single(10), waiting=1), due=at(60)),
    )
    assert [run.lot for run in by_rule(problem, la.BY_WORK).operations] == ["A", "B", "D", "C"]


def test_where_all_wait_for_people_it_goes_on_when_these_come() -> None:
    days = Crew(calendar(("06:00", "14:00"), days=range(7)), 0, 2)
    evenings = Crew(calendar(("14:00", "22:00"), days=range(7)), 1, 2)
    step = operation("10", single(60), setup=10, waiting=1)
    problem = replace(shop([station("M1")], lot("A", step, due=at(900)), now=at(600)), people=(days, evenings))
    assert [run.start for run in by_rule(problem, la.BY_DUE).operations] == [at(840)]


def test_a_search_by_ranks_begins_with_the_best_of_all_rules() -> None:
    """Here that is one that looks at the clock; what it dispatches becomes ranks that dispatch the same again."""
    problem = shop_of_case(json.loads(json.dumps(make_case("heavy", 8, lots=20))))
    costs = {rule: by_rule(problem, *rule).weighted_tardiness for rule in RULES}
    best = min(costs, key=lambda rule: costs[rule])
    assert best[0] in {la.BY_SLACK, la.BY_RATIO, la.BY_COST}
    found = improve(problem, Effort(moves=0), by_ranks=True)
    assert found.plan.weighted_tardiness == costs[best] < found.start.weighted_tardiness
