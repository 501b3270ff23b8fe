"""Annealing over ranks: for shops whose plan is more than a list, each order of ranks is judged by dispatching it."""

from collections import deque
from typing import TYPE_CHECKING, Final

from app.core.planning import arrays as a
from app.core.planning import rank_arrays as ra
from app.core.planning.decoding import Decoded, Engine, decode_in, decode_packed
from app.core.planning.outcome import plan_of_arrays
from app.core.planning.packing import Packing
from app.core.planning.ranking import planned_order
from app.core.planning.result_file import Plan

if TYPE_CHECKING:
    from app.core.planning.search import Progress

CHUNK: Final = 10
"""Moves between two looks at the clock."""
PLANS: Final = 5
"""So many plans come of one search, to choose from."""
ROOM: Final = 8
"""A search has room for some so many runs an operation; a plan that takes more is none for it."""


class RankSearch:
    """A shop whose operations are ranked anew; pinned lots keep their place at the front."""

    def __init__(self, packing: Packing, engine: Engine, *, makespan: bool) -> None:
        self.packing, self.engine, self.makespan = packing, engine, makespan
        order = planned_order(packing)
        pinned = [op for op in order if packing.lots[packing.operations[op][0]].pinned is not None]
        self.pinned = len(pinned)
        self.starts = [order, *(pinned + each for each in self._by_rules(order[self.pinned :]))]

    def _by_rules(self, ops: list[int]) -> list[list[int]]:
        """Return the operations by due date, slack, value of their lot, work and shortness, as known now."""
        tables, lots = self.packing.tables, self.packing.tables.lots
        work = [row[a.O_SETUP] + row[a.O_TODO] * row[a.O_CYCLE] // (1000 * max(1, row[a.O_UNIT])) for row in tables.ops]
        remaining = list(work)
        for op in range(len(work) - 2, -1, -1):
            if tables.ops[op][a.O_NEXT] >= 0:
                remaining[op] += remaining[op + 1]

        def due(op: int) -> int:
            return lots[tables.ops[op][a.O_LOT]][a.L_DUE]

        def weight(op: int) -> int:
            return max(1, lots[tables.ops[op][a.O_LOT]][a.L_WEIGHT])

        keys = (
            lambda op: (due(op), op),
            lambda op: (due(op) - remaining[op], op),
            lambda op: (remaining[op] * 1000 // weight(op), op),
            lambda op: (work[op] * 1000 // weight(op), op),
            lambda op: (-remaining[op], op),
        )
        return [sorted(ops, key=key) for key in keys]

    def run(self, progress: "Progress", seed: int, cooling: list[int]) -> list[Plan]:
        """Search and return the last best plans, the best one first: each was the best when it was found."""
        decoded, ranked = min((self._begun(order, seed) for order in self.starts), key=lambda each: _worth(each[1]))
        hottest = max(1, int(ranked[ra.RH_COST]) // (10 * max(1, len(self.packing.lots))))
        best = deque([_order(ranked)], maxlen=PLANS)
        best_worth = _worth(ranked)
        while (share := progress.share()) < 1 and len(self.packing.operations) > self.pinned + 1:
            moves = progress.up_to(CHUNK)
            heat = round(hottest * 0.05**share)
            self.engine.anneal_ranks(decoded.arrays.fixed, decoded.arrays.state, ranked, moves, heat, cooling)
            progress.moves += moves
            if _worth(ranked) < best_worth:
                best_worth = _worth(ranked)
                best.appendleft(_order(ranked))
        return [plan_of_arrays(decode_packed(self.packing, order, self.engine)) for order in best]

    def _begun(self, order: list[int], seed: int) -> tuple[Decoded, ra.Ranked]:
        """Return an order dispatched, with room for others, and a search that begins with it."""
        decoded = decode_in(self.packing, order, self.engine, ROOM)
        fixed = decoded.arrays.fixed
        fixed[a.F_MAKESPAN] = int(self.makespan)
        sizes = len(order), len(self.packing.tables.lots), int(fixed[a.F_MOST_RUNS])
        ranked = self.engine.array(ra.rank_array(*sizes, first=self.pinned, seed=seed))
        self.engine.begin_ranks(fixed, decoded.arrays.state, ranked)
        return decoded, ranked


def _order(ranked: ra.Ranked) -> list[int]:
    """Return the best order of a search."""
    return [int(op) for op in ranked[ranked[ra.RH_KEPT] : ranked[ra.RH_ENDS]]]


def _worth(ranked: ra.Ranked) -> tuple[int, ...]:
    """Return what the best order of a search is worth."""
    return tuple(int(each) for each in ranked[ra.RH_UNFINISHED : ra.RH_FLOW + 1])
