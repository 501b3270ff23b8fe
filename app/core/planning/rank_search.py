"""Annealing over ranks: for shops whose plan is more than a list, each order of ranks is judged by dispatching it."""

from math import log
from typing import TYPE_CHECKING

from app.core.planning import arrays as a
from app.core.planning.decoding import Decoded, Engine, decode_packed, set_ranks
from app.core.planning.outcome import plan_of_arrays
from app.core.planning.packing import Packing
from app.core.planning.ranking import planned_order
from app.core.planning.result_file import Plan

if TYPE_CHECKING:
    from app.core.planning.search import Progress

MODULUS = 2_147_483_647


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

    def run(self, progress: "Progress", seed: int) -> Plan:
        """Search and return the best plan found."""
        ranked = sorted(((self._cost_of(order), number) for number, order in enumerate(self.starts)))
        (best, chosen), order = ranked[0], list(self.starts[ranked[0][1]])
        kept, cost = list(self.starts[chosen]), best
        decoded = decode_packed(self.packing, order, self.engine)
        hottest = max(1, best[1] * 2 // (5 * max(1, len(self.packing.lots))))
        while (share := progress.share()) < 1 and len(order) > self.pinned + 1:
            seed, source, target, luck = self._draw(seed, len(order))
            order.insert(target, order.pop(source))
            found = self._judge(decoded, order)
            heat = hottest * 0.1**share * -log((luck + 0.5) / MODULUS)
            if found[0] > cost[0] or found[1] - cost[1] > heat or (found[1] == cost[1] and found > cost):
                order.insert(source, order.pop(target))
            else:
                cost = found
                if cost < best:
                    best, kept = cost, list(order)
            progress.moves += 1
        return plan_of_arrays(decode_packed(self.packing, kept, self.engine))

    def _draw(self, seed: int, count: int) -> tuple[int, int, int, int]:
        """Return the next seed, two different places behind those pinned, and a number below the modulus."""
        numbers = []
        for _ in range(3):
            seed = seed * 48_271 % MODULUS
            numbers.append(seed)
        free = count - self.pinned
        source = numbers[0] % free
        target = (source + 1 + numbers[1] % (free - 1)) % free
        return seed, self.pinned + source, self.pinned + target, numbers[2]

    def _cost_of(self, order: list[int]) -> tuple[int, int, int, int]:
        return self._read(decode_packed(self.packing, order, self.engine))

    def _judge(self, decoded: Decoded, order: list[int]) -> tuple[int, int, int, int]:
        """Return the cost of an order, dispatched in the arrays of another."""
        set_ranks(decoded.arrays, order)
        self.engine.play(decoded.arrays.fixed, decoded.arrays.state)
        if decoded.arrays.state[a.N_TROUBLE] & a.TOO_FEW_ROWS:
            return self._cost_of(order)
        return self._read(decoded)

    def _read(self, decoded: Decoded) -> tuple[int, int, int, int]:
        """Return the lots without a finish, the cost, the late lots and the flow time of a plan."""
        fixed, state = decoded.arrays
        unfinished = cost = late = flow = 0
        for place, row in enumerate(self.packing.tables.lots):
            journey = fixed[a.F_JOURNEYS] + place * a.STATE_LOT_COLUMNS
            if state[journey + a.Z_LEFT] != 0 or self.packing.troubles[place]:
                unfinished += 1
                continue
            end = int(state[journey + a.Z_FINISH])
            tardy = max(0, end - row[a.L_DUE])
            cost = max(cost, end) if self.makespan else cost + row[a.L_WEIGHT] * tardy
            late += tardy > 0
            flow += end
        return unfinished, cost, late, flow
