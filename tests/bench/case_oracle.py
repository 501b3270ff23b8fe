"""A constraint solver (OR-Tools CP-SAT, the extra ``bench``) on the frozen planning cases: the search's rival.

Each operation is a stretch on its station's own axis of open minutes; where it begins and ends on the wall clock is
read off the station's open spans, one by one. It is told a whole plan to begin with, and works without presolve, which
on these cases takes longer than there is.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from ortools.sat.python import cp_model

from app.core.planning.result_file import Plan
from tests.bench.cases.shop_cases import Calendar

Spans = Sequence[Sequence[int]]


class CaseModel:
    """A case as a constraint model."""

    def __init__(self, case: Mapping[str, Any], hint: Plan) -> None:
        self.model = cp_model.CpModel()
        self.calendars = [Calendar([tuple(span) for span in spans]) for spans in case["calendars"]]
        self.hints = {(int(run.lot), run.index): (run.start // 60, run.end // 60) for run in hint.operations}
        on_station: dict[int, list[cp_model.IntervalVar]] = {}
        late = []
        for number, lot in enumerate(case["lots"]):
            before: cp_model.IntVar | int = lot["release"]
            for index, (station, work) in enumerate(lot["operations"]):
                calendar = self.calendars[case["station_calendar"][station]]
                begun, ended = self.hints[number, index]
                start, start_wall = self._moment(calendar, begun, at_opening=True)
                end, end_wall = self._moment(calendar, ended, at_opening=False)
                self.model.add(start_wall >= before)
                interval = self.model.new_interval_var(start, work, end, f"{number} {index}")
                on_station.setdefault(station, []).append(interval)
                before = end_wall
            late.append(lot["weight"] * self._tardiness(before, lot["due"], ended))
        for intervals in on_station.values():
            self.model.add_no_overlap(intervals)
        self.model.minimize(sum(late))

    def _number(self, low: int, high: int, hint: int) -> cp_model.IntVar:
        variable = self.model.new_int_var(low, high, "")
        self.model.add_hint(variable, hint)
        return variable

    def _moment(self, calendar: Calendar, wall: int, *, at_opening: bool) -> tuple[cp_model.IntVar, cp_model.IntVar]:
        """Return a moment on the axis and on the wall; a closing is an end, an opening a beginning."""
        spans = len(calendar.starts)
        inside = [n for n in range(spans) if calendar.starts[n] <= wall - (not at_opening) < calendar.ends[n]]
        (here,) = inside
        span = self._number(0, spans - 1, here)
        opening = self._number(0, calendar.starts[-1], calendar.starts[here])
        done = self._number(0, calendar.done[-1], calendar.done[here])
        closing = self._number(0, calendar.ends[-1], calendar.ends[here])
        for values, variable in ((calendar.starts, opening), (calendar.done[:-1], done), (calendar.ends, closing)):
            self.model.add_element(span, values, variable)
        moment = self._number(0, calendar.ends[-1], wall)
        on_axis = self._number(0, calendar.done[-1], calendar.done[here] + wall - calendar.starts[here])
        self.model.add(on_axis - done == moment - opening)
        if at_opening:
            self.model.add(moment >= opening)
            self.model.add(moment < closing)
        else:
            self.model.add(moment > opening)
            self.model.add(moment <= closing)
        return on_axis, moment

    def _tardiness(self, end: cp_model.IntVar | int, due: int, hinted_end: int) -> cp_model.IntVar:
        late = self._number(0, max(calendar.ends[-1] for calendar in self.calendars), max(0, hinted_end - due))
        self.model.add(late >= end - due)
        return late


def weighted_days(case: Mapping[str, Any], hint: Plan, *, seconds: float, workers: int) -> float | None:
    """Return the weighted days late that the solver reaches in some seconds of the clock, told a plan; or None."""
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    solver.parameters.cp_model_presolve = False
    status = solver.solve(CaseModel(case, hint).model)
    return solver.objective_value / 1440 if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
