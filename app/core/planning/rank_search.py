"""Annealing over ranks: for shops whose plan is more than a list, each order of ranks is judged by dispatching it.

It begins with the best of the order in force and those in which rules of dispatch begin the operations.
"""

from collections import deque
from typing import TYPE_CHECKING, Final

from app.core.planning import arrays as a
from app.core.planning import rank_arrays as ra
from app.core.planning.decoding import Decoded, Engine, decode_in, decode_packed, set_ranks
from app.core.planning.look_ahead import put_all_ahead, rules_for
from app.core.planning.outcome import KIND_ALONE, Words, plan_of_arrays, run_rows
from app.core.planning.packing import Packing
from app.core.planning.ranked import Ranks
from app.core.planning.ranking import planned_order
from app.core.planning.result_file import Plan

if TYPE_CHECKING:
    from app.core.planning.search import Progress

CHUNK: Final = 10
"""Moves between two looks at the clock."""
PLANS: Final = 5
"""So many plans come of one search, to choose from."""
BEGINNING: Final = 0.1
"""The share of the time in which rules are tried to begin with; where moves are counted, all are."""
ROOM: Final = 8
"""A search has room for some so many runs an operation; a plan that takes more is none for it."""


class RankSearch:
    """A shop whose operations are ranked anew; pinned lots keep their place at the front."""

    def __init__(self, packing: Packing, engine: Engine, words: Words = KIND_ALONE, *, makespan: bool) -> None:
        self.packing, self.engine, self.words, self.makespan = packing, engine, words, makespan
        self.planned = planned_order(packing)
        self.pinned = sum(packing.lots[lot].pinned is not None for lot, _ in packing.operations)

    def run(self, progress: "Progress", seed: int, cooling: list[int]) -> list[tuple[Plan, Ranks]]:
        """Search and return the last best plans, each with its ranks, the best first: each was the best when found."""
        arrays, ranked = self.room(seed)
        self._begin_best(arrays, ranked, progress)
        hottest = max(1, int(ranked[ra.RH_COST]) // (10 * max(1, len(self.packing.lots))))
        best = deque([_order(ranked)], maxlen=PLANS)
        best_worth = _worth(ranked)
        while (share := progress.share()) < 1 and len(self.packing.operations) > self.pinned + 1:
            moves = progress.up_to(CHUNK)
            heat = round(hottest * 0.05**share)
            self.engine.anneal_ranks(arrays.fixed, arrays.state, ranked, moves, heat, cooling)
            progress.moves += moves
            if _worth(ranked) < best_worth:
                best_worth = _worth(ranked)
                best.appendleft(_order(ranked))
        plans = [plan_of_arrays(decode_packed(self.packing, order, self.engine), self.words) for order in best]
        return [(plan, self._ranks(plan, order)) for plan, order in zip(plans, best, strict=True)]

    def _ranks(self, plan: Plan, order: list[int]) -> dict[tuple[str, int], int]:
        """Return the ranks of what stations begin in the plan of an order.

        Not the order in which they begin it: what had to wait, such as for people, came with its rank before the rest.
        """
        begun = {(run.lot, run.index) for run in plan.operations if run.station is not None and not run.under_way}
        places = (self.packing.operations[op] for op in order)
        keys = ((self.packing.lots[lot].key, index) for lot, index in places)
        return {key: rank for rank, key in enumerate(key for key in keys if key in begun)}

    def room(self, seed: int) -> tuple[a.Shop, ra.Ranked]:
        """Return the shop with room for any order, and the array of a search that begins with the one it has."""
        decoded = decode_in(self.packing, self.planned, self.engine, ROOM)
        fixed = [int(each) for each in decoded.arrays.fixed]
        put_all_ahead(fixed, self.packing)
        fixed[a.F_MAKESPAN] = int(self.makespan)
        sizes = len(self.planned), len(self.packing.lots), fixed[a.F_MOST_RUNS]
        ranked = self.engine.array(ra.rank_array(*sizes, first=self.pinned, seed=seed))
        return a.Shop(self.engine.array(fixed), decoded.arrays.state), ranked

    def _begin_best(self, arrays: a.Shop, ranked: ra.Ranked, progress: "Progress") -> None:
        """Begin with the best of the order that the shop has and those that rules of dispatch come to."""
        best = self._begin(arrays, ranked, self.planned)
        # Those that look at the clock stand last and are mostly the best: where there is little time, they are tried.
        for rule, tenths in reversed(rules_for(makespan=self.makespan)):
            if progress.effort.moves is None and progress.share() >= BEGINNING:
                break
            best = min(best, self._begin(arrays, ranked, self._order_by(arrays, ranked, rule, tenths)))
        self._begin(arrays, ranked, best[1])

    def _begin(self, arrays: a.Shop, ranked: ra.Ranked, order: list[int]) -> tuple[tuple[int, ...], list[int]]:
        """Begin with an order; return what it is worth, the least being the best, with it."""
        set_ranks(arrays, order)
        self.engine.begin_ranks(arrays.fixed, arrays.state, ranked)
        cut_off = int(arrays.state[a.N_TROUBLE]) & a.TOO_FEW_ROWS
        return (cut_off, *_worth(ranked)), order

    def _order_by(self, arrays: a.Shop, ranked: ra.Ranked, rule: int, tenths: int) -> list[int]:
        """Return the operations as a rule begins them; what is pinned stays in front, what never begins comes last."""
        set_ranks(arrays, self.planned)
        ranked[ra.RH_RULE], ranked[ra.RH_TENTHS] = rule, tenths
        self.engine.play_by_rule(arrays.fixed, arrays.state, ranked)
        runs = sorted(run_rows(Decoded(self.packing, arrays)), key=lambda run: (run[a.R_START], run[a.R_LOAD]))
        begun = [run[a.R_OP] for run in runs if not run[a.R_UNDER_WAY]]
        return list(dict.fromkeys([*self.planned[: self.pinned], *begun, *self.planned]))


def _order(ranked: ra.Ranked) -> list[int]:
    """Return the best order of a search."""
    return [int(number) for number in ranked[ranked[ra.RH_KEPT] : ranked[ra.RH_ENDS]]]


def _worth(ranked: ra.Ranked) -> tuple[int, ...]:
    """Return what the best order of a search is worth."""
    return tuple(int(each) for each in ranked[ra.RH_UNFINISHED : ra.RH_FLOW + 1])
