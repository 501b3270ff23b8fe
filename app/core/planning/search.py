"""Searching for a better order of work: from the best rule of dispatch on, with as many seeds as are asked for.

A shop whose plan is a list (see ``listing``) is searched by annealing over lists; any other by annealing over the ranks
of its operations, each order of ranks judged by dispatching the whole shop. Both give a plan that is never worse than
the one the shop has. The same effort, counted in moves, and the same seed give the same plan.
"""

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import chain
from math import log
from typing import Final

from app.core.planning import arrays as a
from app.core.planning import list_arrays as la
from app.core.planning.decoding import PLAIN, Engine, decode
from app.core.planning.graph_search import GraphSearch
from app.core.planning.job_graph import as_job_graph
from app.core.planning.list_plan import plan_of_list
from app.core.planning.listing import Line, as_line
from app.core.planning.look_ahead import rules_for
from app.core.planning.next_shift import changed_starts, next_shift_ends
from app.core.planning.outcome import KIND_ALONE, Words, plan_of_arrays
from app.core.planning.rank_search import RankSearch
from app.core.planning.ranked import Ranks
from app.core.planning.result_file import Plan
from app.core.shop import Shop

ROUNDS: Final = 100
"""The heat of a search falls in so many steps,"""
COLDEST: Final = 0.05
"""to this part of what it was."""
COOLING: Final = [round(-1000 * log((place + 0.5) / a.COOLINGS)) for place in range(a.COOLINGS)]
"""Thousandths of the logarithms that decide how much worse a move may be."""


class TooFewHoursError(Exception):
    """The calendars of a shop do not hold all of its work, at least not by any rule of dispatch."""


@dataclass(frozen=True, slots=True)
class Effort:
    """How much to search.

    Attributes:
        moves: how many moves each search tries; None searches for ``seconds`` of the clock instead.
        seconds: how long.
        searches: how many searches run, side by side where the engine lets them.
        seed: what their random numbers begin with.
        clock: seconds that only grow, to search for some time.
    """

    moves: int | None = None
    seconds: float = 0.0
    searches: int = 1
    seed: int = 1
    clock: Callable[[], float] | None = None


@dataclass(frozen=True, slots=True)
class Improved:
    """What a search found.

    Attributes:
        start: the plan before it, by the ranks that the shop has.
        plan: the best.
        found: good ones of each seed.
        ranks: those by which dispatch makes each of ``found``; none where they are lists.
    """

    start: Plan
    plan: Plan
    found: tuple[Plan, ...]
    ranks: tuple[Ranks, ...]


@dataclass(slots=True)
class Progress:
    """How far a search is, by moves or by the clock."""

    effort: Effort
    begun: float = field(init=False)
    moves: int = 0

    def __post_init__(self) -> None:
        """Begin now."""
        self.begun = self.effort.clock() if self.effort.clock is not None else 0.0

    def share(self) -> float:
        """Return the share of the effort that is spent; 1 or more at its end."""
        if self.effort.moves is not None:
            return self.moves / self.effort.moves if self.effort.moves else 1.0
        if self.effort.clock is None or self.effort.seconds <= 0:
            return 1.0
        return (self.effort.clock() - self.begun) / self.effort.seconds

    def up_to(self, most: int) -> int:
        """Return how many moves to try before looking again, at most so many."""
        return most if self.effort.moves is None else max(0, min(most, self.effort.moves - self.moves))


def improve(
    shop: Shop,
    effort: Effort,
    engine: Engine = PLAIN,
    *,
    makespan: bool = False,
    by_ranks: bool = False,
    words: Words = KIND_ALONE,
) -> Improved:
    """Return a plan for a shop that is at least as good as the one by its ranks.

    Better is, in this order: less weighted tardiness, fewer late lots, less set-up and flow time, fewer changes to what
    begins before the next shift ends; with ``makespan`` an earlier last finish comes before all of them.

    A list may keep a station waiting for what comes soon, which stations that go by ranks never do: with ``by_ranks``
    only plans are searched that dispatching by their ranks gives again. ``words`` say why a lot cannot be planned.
    """
    decoded = decode(shop, engine)
    start = plan_of_arrays(decoded, words)
    line = None if by_ranks else as_line(decoded.packing, makespan=makespan)
    seeds = [1 + (effort.seed * 1_000_003 + 7919 * number) % 2_147_483_645 for number in range(effort.searches)]
    with ThreadPoolExecutor(max_workers=max(1, len(seeds))) as pool:
        lists = _searched_lists(line, engine, effort, seeds, pool) if line is not None else []
        by_rank: list[tuple[Plan, Ranks]] = []
        if not lists:
            ranked, cooling = RankSearch(decoded.packing, engine, words, makespan=makespan), engine.array(COOLING)
            of_seeds = pool.map(lambda seed: ranked.run(Progress(effort), seed, cooling), seeds)
            by_rank = list(chain.from_iterable(of_seeds))
    found = (*lists, *(plan for plan, _ in by_rank))
    ends = next_shift_ends(shop)

    def worth(plan: Plan) -> tuple[int, ...]:
        return *value(shop, plan, makespan=makespan), changed_starts(ends, start.operations, plan.operations)

    best = min([start, *found], key=worth)
    return Improved(start, best, found, tuple(ranks for _, ranks in by_rank))


def value(shop: Shop, plan: Plan, *, makespan: bool) -> tuple[int, ...]:
    """Return what plans are compared by, the least being the best; a lot more that can be planned comes first."""
    unplanned = sum(one.finish is None for one in plan.lots)
    setup = sum(run.setup_s for run in plan.operations)
    flow = sum(one.finish - shop.now for one in plan.lots if one.finish is not None)
    tardy = (plan.weighted_tardiness, plan.late, setup + flow)
    return (unplanned, plan.makespan, *tardy) if makespan else (unplanned, *tardy)


def _searched_lists(
    line: Line, engine: Engine, effort: Effort, seeds: Sequence[int], pool: ThreadPoolExecutor
) -> list[Plan]:
    """Return the best list of each seed as a plan; none where the hours hold the work of no rule's list.

    A list plans every lot to its end or is none: what there are too few hours for is searched by ranks.
    """
    try:
        return list(pool.map(lambda seed: _search_lists(line, engine, Progress(effort), seed), seeds))
    except TooFewHoursError:
        return []


def _search_lists(line: Line, engine: Engine, progress: Progress, seed: int) -> Plan:
    """Anneal over lists, from the best rule on, and return the best plan."""
    fixed, cooling = engine.array(line.fixed), engine.array(COOLING)
    course = best_by_rules(line, engine, fixed)
    graph = as_job_graph(line)
    if graph is not None:
        search = GraphSearch(graph, engine, cooling, progress, seed)
        if search.has_time(_best_list(line, course)):
            return plan_of_list(line, search.run(_best_list(line, course)))
    course[la.M_SEED] = seed
    hottest = _heat(line, course[la.M_COST])
    chunk = max(1, (progress.effort.moves or 200 * ROUNDS) // ROUNDS)
    while (share := progress.share()) < 1 and course[la.M_BEST] > 0:
        left = progress.up_to(chunk)
        engine.anneal(fixed, course, left, round(hottest * COLDEST**share), cooling)
        progress.moves += left
    return plan_of_list(line, _best_list(line, course))


def _heat(line: Line, cost: int) -> int:
    """Return the mean worsening that is taken at first: of a lot's share of the cost, or of an operation's time."""
    if line.fixed[a.F_MAKESPAN]:
        return max(1, line.fixed[a.F_MEAN_WORK] // 3)
    return max(1, int(cost) * 3 // (5 * max(1, line.fixed[a.F_LOTS_COUNT])))


def best_by_rules(line: Line, engine: Engine, fixed: list[int]) -> list[int]:
    """Return the array of the list that the best rule of dispatch makes.

    Raises:
        TooFewHoursError: the calendars hold the work of no such list.
    """
    best: list[int] | None = None
    for rule, tenths in rules_for(makespan=bool(line.fixed[a.F_MAKESPAN])):
        course = engine.array([0] * line.course_length)
        cost = int(engine.by_rule(fixed, course, rule, tenths))
        if cost < a.FOREVER and (best is None or cost < best[la.M_COST]):
            best = course
    if best is None:
        raise TooFewHoursError
    engine.keep_best(fixed, best)
    return best


def _best_list(line: Line, course: Sequence[int]) -> list[int]:
    """Return the lots of the best list."""
    first, steps = line.fixed[a.F_PLACES], line.fixed[a.F_STEPS_COUNT]
    return [int(course[first + place * la.PLACE_COLUMNS + la.D_BEST]) for place in range(steps)]
