"""Searching a job graph: a few good plans, and what lies between them searched anew.

As E. Nowicki and C. Smutnicki (Journal of Scheduling 8 (2005) 145-159) and B. Peng, Z. Lü and T. Cheng (Computers &
Operations Research 53 (2015) 154-164) do it, from memory: an order between two of the plans is searched; what comes of
it takes the place of the worst, until all are alike and others are begun with. For the earliest end of the last lot
that search is a tabu search, for less tardiness and within hours annealing. A large shop takes longer to anneal that
often than there is.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import count
from typing import TYPE_CHECKING, Final

from app.core.planning import arrays as a
from app.core.planning import graph_arrays as ga
from app.core.planning.decoding import Engine
from app.core.planning.job_graph import JobGraph
from app.core.planning.kernels.luck import drawn_below

if TYPE_CHECKING:
    from app.core.planning.search import Progress

PATIENCE: Final = 12_000
"""A tabu search from one plan ends after so many moves that bring nothing better."""
PLANS: Final = 12
"""So many plans are kept of a tabu search, and"""
ANNEALED_PLANS: Final = 8
CHUNK: Final = 2_000
"""Moves between two looks at the clock."""
STEPS: Final = 20
"""The heat of an annealing falls in so many steps."""
ENOUGH: Final = 0.6
"""With time for fewer annealings an operation one of the list does better that lasts all the time."""


@dataclass(slots=True)
class GraphSearch:
    """One search.

    Attributes:
        plans: cost and order of the plans that are kept.
        ended: the best of those before, which had become too much alike to find more between them.
    """

    graph: JobGraph
    engine: Engine
    cooling: list[int]
    progress: "Progress"
    seed: int
    plans: list[tuple[int, list[int]]] = field(default_factory=list)
    ended: list[tuple[int, list[int]]] = field(default_factory=list)
    fixed: list[int] = field(init=False)
    array: list[int] = field(init=False)
    tabu: bool = field(init=False)
    luck: list[int] = field(init=False)

    def __post_init__(self) -> None:
        """Make the arrays."""
        fixed = self.graph.line.fixed
        self.fixed, self.array = self.engine.array(fixed), self.engine.array(self.graph.start)
        self.array[ga.GH_SEED] = self.seed
        self.luck = [self.seed]
        self.tabu = self.graph.plain and bool(fixed[a.F_MAKESPAN])

    def has_time(self, lots: Sequence[int]) -> bool:
        """Tell whether there is time to search more than a few times, from a list of lots on."""
        self._take(self.graph.order_of(lots))
        return self.tabu or self._annealings() >= ENOUGH * int(self.array[ga.GH_COUNT])

    def run(self, lots: Sequence[int]) -> list[int]:
        """Search from a list of lots on and return the best list found."""
        start = self.graph.order_of(lots)
        self._take(start)
        if self.tabu:
            self._among(PLANS, self._search_tabu, self._any_order)
        else:
            self._among(ANNEALED_PLANS, self._search_annealing, lambda: start)
        return self.graph.lots_of(min(self.ended + self.plans)[1])

    def _among(self, most: int, search: Callable[[bool], None], begin: Callable[[], list[int]]) -> None:
        """Search from different plans, then from what lies between them."""
        search(True)
        while self.progress.share() < 1 and min(self.ended + self.plans)[0] > self.array[ga.GH_BOUND]:
            if len(self.plans) < most:
                self._take(begin())
                search(True)
            elif not self._go_between():
                # Every second time the best stays among the new ones.
                self.ended.append(min(self.plans))
                self.plans = [min(self.ended)] if len(self.ended) % 2 else []
                begin = self._any_order
            else:
                search(False)
                self.plans.remove(max(self.plans))

    def _go_between(self) -> bool:
        """Take an order between two of the plans; tell whether they differ enough for that."""
        one = self._draw(len(self.plans))
        other = (one + 1 + self._draw(len(self.plans) - 1)) % len(self.plans)
        self._take(self.plans[one][1])
        return self.engine.relink(self.array, self.engine.array(self.plans[other][1]), 300 + self._draw(401)) > 5

    def _search_tabu(self, _fresh: bool) -> None:
        """Search from the order that was taken, and keep the plan."""
        array, left = self.array, PATIENCE
        self.engine.begin_search(array)
        while left > 0 and self.progress.share() < 1:
            best = array[ga.GH_BEST]
            moves = self.progress.up_to(min(CHUNK, left))
            made = self.engine.search_tabu(array, moves)
            self.progress.moves += made
            left = PATIENCE if array[ga.GH_BEST] < best else left - made
            if made < moves:
                break
        self._keep()

    def _search_annealing(self, fresh: bool) -> None:
        """Anneal from the order that was taken, hotter for a fresh plan than for one between others; keep the plan."""
        self.engine.begin_annealing(self.fixed, self.array)
        hot, cold = self._scale() * (3.0 if fresh else 1.0), self._scale() * 0.1
        for step in range(STEPS):
            self._anneal(max(1, self._length() // STEPS), hot * (cold / hot) ** (step / (STEPS - 1)))
            if self.progress.share() >= 1 or self.array[ga.GH_BEST] <= self.array[ga.GH_BOUND]:
                break
        self._keep()

    def _anneal(self, moves: int, heat: float) -> None:
        moves = self.progress.up_to(moves)
        self.engine.anneal_graph(self.fixed, self.array, moves, max(1, round(heat)), self.cooling)
        self.progress.moves += moves

    def _annealings(self) -> float:
        """Return for about how many annealings there is time: by moves, or as quickly as the first few go."""
        self.engine.begin_annealing(self.fixed, self.array)
        self._anneal(0, 1)
        if self.progress.effort.moves is not None:
            return self.progress.effort.moves / self._length()
        before = self.progress.share()
        self._anneal(CHUNK, self._heat())
        spent = self.progress.share() - before
        return CHUNK / spent / self._length() if spent > 0 else 0.0

    def _length(self) -> int:
        """Return the moves of one annealing."""
        return int(self.array[ga.GH_COUNT]) ** 2

    def _scale(self) -> float:
        """Return what an operation's time past due costs on the average; for the makespan the operation's time."""
        if self.fixed[a.F_MAKESPAN]:
            return float(self.fixed[a.F_MEAN_WORK])
        lasts = self.graph.start[self.graph.start[ga.GH_LASTS] :]
        weights = sum(self.graph.start[node + ga.T_WEIGHT] for node in lasts)
        return float(self.fixed[a.F_MEAN_WORK]) * max(1, weights) / len(lasts)

    def _heat(self) -> float:
        """Return a lot's share of the cost; for the makespan a part of an operation's time."""
        if self.fixed[a.F_MAKESPAN]:
            return float(self.fixed[a.F_MEAN_WORK])
        cost = min([int(self.array[ga.GH_COST]), *(plan[0] for plan in self.plans)])
        return max(1.0, cost / max(1, int(self.array[ga.GH_LOTS])))

    def _draw(self, most: int) -> int:
        return drawn_below(self.luck, 0, most)

    def _any_order(self) -> list[int]:
        """Return the nodes in an order at random."""
        lots = self.graph.lots_of(self.graph.nodes)
        for last in range(len(lots) - 1, 0, -1):
            other = self._draw(last + 1)
            lots[last], lots[other] = lots[other], lots[last]
        return self.graph.order_of(lots)

    def _take(self, order: Sequence[int]) -> None:
        """Take an order as the plan."""
        for place, node in zip(count(int(self.array[ga.GH_ORDER])), order, strict=False):
            self.array[place] = node
        self.engine.take_order(self.array)

    def _keep(self) -> None:
        """Keep the best plan since the search began, its nodes by their start."""
        cost, first = int(self.array[ga.GH_BEST]), int(self.array[ga.GH_KEPT])
        self._take([int(node) for node in self.array[first : first + int(self.array[ga.GH_COUNT])]])
        if not self.tabu:
            self.engine.begin_annealing(self.fixed, self.array)
        array = self.array
        starts = sorted((int(array[node + ga.T_HEAD]), int(array[node + ga.T_AT]), node) for node in self.graph.nodes)
        self.plans.append((cost, [node for _, _, node in starts]))
