"""The least weighted tardiness of the small shops, proved by OR-Tools CP-SAT; needs the extra ``bench``.

    python -m tests.bench.shop_oracle 0 1 2 --seconds 60

It reckons on each station's own axis of open seconds, on which a run is one stretch, and maps what other stations and
due dates need to the wall clock, span by span. What it proves is kept with its plan, so that the checker can prove the
plan and tests can compare without the solver. A run here is a whole operation at one station.
"""

import argparse
import json
from dataclasses import dataclass, field
from itertools import pairwise

import ortools
from ortools.sat.python import cp_model

from app.core.plan_check import check
from app.core.planning.result_file import Plan, PlannedLot, PlannedRun
from app.core.shop import Lot, Operation, Shop, SinglePiece, Station
from tests.bench.oracle import solve
from tests.bench.small_shops import small_shop
from tests.core.plan_check.plans import summed_up
from tests.published.job_shops import FOLDER

AHEAD_S = 9 * 86_400


@dataclass
class Axis:
    """The open spans of a station, on the wall clock and on its own axis of open seconds, from now."""

    station: Station
    spans: list[tuple[int, int]]
    before: list[int] = field(init=False)

    def __post_init__(self) -> None:
        self.before = [0]
        for start, end in self.spans:
            self.before.append(self.before[-1] + end - start)

    def open_before(self, second: int) -> int:
        """Return the open seconds before a second."""
        return sum(max(0, min(end, second) - start) for start, end in self.spans)


@dataclass
class Step:
    """The variables of one operation."""

    lot: Lot
    index: int
    operation: Operation
    pieces: int
    at: dict[str, cp_model.IntVar] = field(default_factory=dict)
    start: cp_model.IntVar | None = None
    setup: cp_model.IntVar | None = None
    work: cp_model.IntVar | None = None
    end: cp_model.IntVar | None = None
    work_wall: cp_model.IntVar | None = None
    end_wall: cp_model.IntVar | None = None


class ShopModel:
    """A shop as a constraint model."""

    def __init__(self, shop: Shop) -> None:
        self.shop, self.model = shop, cp_model.CpModel()
        self.axes = [
            Axis(one, [(s.start, s.end) for s in one.calendar.spans(shop.now, shop.now + AHEAD_S)])
            for one in shop.stations
        ]
        self.length = max(axis.before[-1] for axis in self.axes)
        self.alike = len({axis.station.calendar.hours for axis in self.axes}) == 1
        self.steps = [self._steps(lot) for lot in shop.lots]
        for axis in self.axes:
            self._sequence(axis)
        for steps in self.steps:
            self._route(steps)
        self._components()
        self._people()
        self.model.minimize(sum(self._tardiness(steps) for steps in self.steps))

    def _steps(self, lot: Lot) -> list[Step]:
        return [self._step(lot, index, lot.operations[0].waiting) for index in range(len(lot.operations))]

    def _step(self, lot: Lot, index: int, pieces: int) -> Step:
        """Give an operation a station, and its seconds on that station's axis and on the wall."""
        model, step = self.model, Step(lot, index, lot.operations[index], pieces)
        name = f"{lot.key}/{index}"
        step.start, step.work, step.end = (model.new_int_var(0, self.length, f"{name} {what}") for what in "swe")
        step.setup = model.new_int_var(0, step.operation.setup_s, f"{name} set-up")
        model.add(step.work == step.start + step.setup)
        last = self.shop.now + AHEAD_S
        step.work_wall, step.end_wall = (model.new_int_var(self.shop.now, last, f"{name} wall {w}") for w in "we")
        for axis in self.axes:
            if axis.station.work_center == step.operation.work_center:
                here = step.at[axis.station.key] = model.new_bool_var(f"{name} at {axis.station.key}")
                model.add(step.end == step.work + work_s(step, axis.station)).only_enforce_if(here)
                model.add(step.start >= axis.open_before(lot.released)).only_enforce_if(here)
                if not self.alike:
                    self._on_the_wall(axis, here, step.work, step.work_wall, at_opening=True)
                    self._on_the_wall(axis, here, step.end, step.end_wall, at_opening=False)
        if self.alike:  # one axis for all: the wall matters to due dates only
            always = model.new_constant(1)
            self._on_the_wall(self.axes[0], always, step.end, step.end_wall, at_opening=False)
        model.add_exactly_one(step.at.values())
        return step

    def _on_the_wall(
        self, axis: Axis, here: cp_model.IntVar, second: cp_model.IntVar, wall: cp_model.IntVar, *, at_opening: bool
    ) -> None:
        """Map an axis to the wall, all spans of which are as long; a closing is then, or at the next opening."""
        (length,) = {end - start for start, end in axis.spans}
        model, lowest = self.model, 0 if at_opening else 1
        span, rest = model.new_int_var(0, len(axis.spans) - 1, ""), model.new_int_var(lowest, length - 1 + lowest, "")
        opening = model.new_int_var_from_domain(cp_model.Domain.from_values([start for start, _ in axis.spans]), "")
        model.add_element(span, [start for start, _ in axis.spans], opening)
        model.add(second == length * span + rest).only_enforce_if(here)
        model.add(wall == opening + rest).only_enforce_if(here)

    def _sequence(self, axis: Axis) -> None:
        """Put the operations of a station in a row, each with the set-up that the one before it leaves."""
        key = axis.station.key
        here = [step for steps in self.steps for step in steps if key in step.at]
        arcs = []
        none = self.model.new_bool_var("")
        arcs.append((0, 0, none))
        for n, step in enumerate(here, 1):
            self.model.add_implication(none, step.at[key].negated())
            arcs.append((n, n, step.at[key].negated()))
            first, last = self.model.new_bool_var(""), self.model.new_bool_var("")
            arcs += [(0, n, first), (n, 0, last)]
            self.model.add(step.setup == setup_after(axis.station.set_up_for, step)).only_enforce_if(first)
            for m, other in enumerate(here, 1):
                if m != n:
                    follows = self.model.new_bool_var("")
                    arcs.append((m, n, follows))
                    self.model.add(step.start >= other.end).only_enforce_if(follows)
                    self.model.add(step.setup == setup_after(other.operation.family, step)).only_enforce_if(follows)
        self.model.add_circuit(arcs)
        self.model.add_no_overlap(
            self.model.new_optional_interval_var(
                step.work, work_s(step, axis.station), step.end, step.at[key], f"{step.lot.key}/{step.index}"
            )
            for step in here
        )

    def _route(self, steps: list[Step]) -> None:
        """Take up no piece before it has come."""
        for before, after in pairwise(steps):
            if before.operation.send_ahead is None:
                if self.alike:
                    self.model.add(after.work >= before.end)
                else:
                    self.model.add(after.work_wall >= before.end_wall)
                continue
            for place, here in before.at.items():
                for next_place, there in after.at.items():
                    lag = self._lag(before, place, after, next_place)
                    self.model.add(after.work >= before.work + lag).only_enforce_if(here, there)

    def _lag(self, before: Step, place: str, after: Step, next_place: str) -> int:
        """Return how long after an operation's work the next one's may begin; both on one axis."""
        one, other = (
            next(axis.station for axis in self.axes if axis.station.key == key) for key in (place, next_place)
        )
        lags = []
        for first in range(0, before.pieces, before.operation.send_ahead or before.pieces):
            last = min(first + (before.operation.send_ahead or 0), before.pieces)
            lags.append(-(-last * cycle_ms(before, one) // 1000) - first * cycle_ms(after, other) // 1000)
        return max(lags)

    def _components(self) -> None:
        finished = {steps[0].lot.key: steps[-1] for steps in self.steps}
        for step in (step for steps in self.steps for step in steps):
            for key in step.operation.components:  # only where all stations share one axis
                self.model.add(step.start >= finished[key].end)

    def _people(self) -> None:
        """One crew, there whenever the stations are open."""
        if self.shop.people is None:
            return
        (crew,) = self.shop.people
        steps = [step for steps in self.steps for step in steps]
        set_ups = [self.model.new_interval_var(step.start, step.setup, step.work, "") for step in steps]
        self.model.add_cumulative(set_ups, [1] * len(steps), crew.setters)
        lasting = [self.model.new_int_var(0, self.length, "") for _ in steps]
        runs = [
            self.model.new_interval_var(step.start, size, step.end, "")
            for step, size in zip(steps, lasting, strict=True)
        ]
        self.model.add_cumulative(runs, [step.operation.tend_permille for step in steps], 1000 * crew.tenders)

    def _tardiness(self, steps: list[Step]) -> cp_model.LinearExpr:
        lot = steps[0].lot
        late = self.model.new_int_var(0, AHEAD_S, f"late {lot.key}")
        self.model.add(late >= steps[-1].end_wall - (lot.due or 0))
        return lot.weight * late

    def plan(self, solver: cp_model.CpSolver) -> Plan:
        """Return the plan of a solution."""
        rows = []
        for step in (step for steps in self.steps for step in steps):
            axis = next(
                axis for axis in self.axes if axis.station.key in step.at and solver.value(step.at[axis.station.key])
            )
            start = solver.value(step.start)
            span = next(n for n, after in enumerate(axis.before[1:]) if start < after)
            wall = start - axis.before[span] + axis.spans[span][0]
            rows.append(
                PlannedRun(
                    step.lot.key,
                    step.index,
                    axis.station.key,
                    wall,
                    solver.value(step.end_wall),
                    step.pieces,
                    solver.value(step.setup),
                )
            )
        lots = [PlannedLot(steps[0].lot.key, "planned", solver.value(steps[-1].end_wall)) for steps in self.steps]
        return summed_up(self.shop, lots, rows)


def cycle_ms(step: Step, station: Station) -> int:
    """Return the time of a piece at a station's pace."""
    taking = step.operation.taking
    if not isinstance(taking, SinglePiece):
        raise TypeError(f"the model knows single pieces only, not {taking}")
    return -(-taking.cycle_ms * 100 // station.pace)


def work_s(step: Step, station: Station) -> int:
    """Return the seconds of a whole run."""
    return -(-step.pieces * cycle_ms(step, station) // 1000)


def setup_after(family: str | None, step: Step) -> int:
    """Return the set-up after a family."""
    return 0 if family == step.operation.family else step.operation.setup_s


def keep(number: int, plan: Plan) -> None:
    """Write a proved plan into the file that tests read; ``small_shops.proved_plans`` reads it."""
    file = FOLDER / "small_shops.json"
    kept = json.loads(file.read_text()) if file.exists() else {"how": "", "shops": {}}
    kept["how"] = f"OR-Tools {ortools.__version__} CP-SAT: python -m tests.bench.shop_oracle NUMBER..."
    runs = [[r.lot, r.index, r.station, r.start, r.end, r.pieces, r.setup_s] for r in plan.operations]
    kept["shops"][str(number)] = {"weighted_tardiness": plan.weighted_tardiness, "runs": runs}
    lines = [f" {json.dumps(key)}: {json.dumps(kept['shops'][key])}" for key in sorted(kept["shops"], key=int)]
    file.write_text('{"how": ' + json.dumps(kept["how"]) + ',\n"shops": {\n' + ",\n".join(lines) + "\n}}\n")


def main() -> None:
    """Prove what was asked for and keep it."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("numbers", nargs="+", type=int)
    asked.add_argument("--seconds", type=float, default=60)
    asked.add_argument("--workers", type=int, default=1)
    given = asked.parse_args()
    for number in given.numbers:
        shop = small_shop(number)
        model = ShopModel(shop)
        answer, solver = solve(model.model, seconds=given.seconds, workers=given.workers)
        print(number, answer.value, "optimal" if answer.optimal else f"at least {answer.bound}", flush=True)
        if answer.optimal:
            plan = model.plan(solver)
            wrong = check(shop, plan)
            if wrong or plan.weighted_tardiness != answer.value:
                raise SystemExit(
                    f"shop {number}: the model and the checker disagree: {plan.weighted_tardiness} {wrong}"
                )
            keep(number, plan)


if __name__ == "__main__":
    main()
