"""The least possible value of small cases, proved by a constraint solver that knows nothing of ours (OR-Tools CP-SAT).

It needs the extra ``bench`` (some 240 MB installed, so neither CI nor the other tests need it) and is run by hand; what
it proves is kept beside the instances, where tests compare with it:

    python -m tests.bench.oracle makespan ft06 la01 --seconds 45
    python -m tests.bench.oracle 1.3 la17 --seconds 60        # weighted tardiness, due at 1.3 times the work
"""

import argparse
import json
from dataclasses import dataclass

import ortools
from ortools.sat.python import cp_model

from tests.published.job_shops import FOLDER, Jobs, jobs_of, tardiness_jobs, weights_and_dues


@dataclass(frozen=True)
class Answer:
    """The best value found, and a bound under which none can lie; None when nothing was found in time."""

    value: int | None
    bound: int

    @property
    def optimal(self) -> bool:
        """Whether the value is proved to be the least."""
        return self.value == self.bound


def least_makespan(jobs: Jobs, *, seconds: float, workers: int = 1) -> Answer:
    """Solve a job shop for the end of its last job."""
    model = cp_model.CpModel()
    horizon = sum(time for job in jobs for _, time in job)
    last = model.new_int_var(0, horizon, "makespan")
    for end in _ends(model, jobs, horizon):
        model.add(last >= end)
    model.minimize(last)
    return solve(model, seconds=seconds, workers=workers)[0]


def least_tardiness(jobs: Jobs, factor: str, *, seconds: float, workers: int = 1) -> Answer:
    """Solve a job shop for the sum of weight times time past due, weights and due dates after Singer and Pinedo."""
    model = cp_model.CpModel()
    horizon = sum(time for job in jobs for _, time in job)
    terms = []
    for n, (end, (weight, due)) in enumerate(
        zip(_ends(model, jobs, horizon), weights_and_dues(jobs, factor), strict=True)
    ):
        late = model.new_int_var(0, horizon, f"late {n}")
        model.add(late >= end - due)
        terms.append(weight * late)
    model.minimize(sum(terms))
    return solve(model, seconds=seconds, workers=workers)[0]


def _ends(model: cp_model.CpModel, jobs: Jobs, horizon: int) -> list[cp_model.IntVar]:
    """Add the operations in order of their jobs, one at a time on a machine; return the end of each job."""
    on_machine: dict[int, list[cp_model.IntervalVar]] = {}
    ends = []
    for n, job in enumerate(jobs):
        end = model.new_constant(0)
        for index, (machine, time) in enumerate(job):
            start = model.new_int_var(0, horizon, f"start {n} {index}")
            model.add(start >= end)
            end = model.new_int_var(0, horizon, f"end {n} {index}")
            on_machine.setdefault(machine, []).append(model.new_interval_var(start, time, end, f"{n} {index}"))
        ends.append(end)
    for intervals in on_machine.values():
        model.add_no_overlap(intervals)
    return ends


def solve(model: cp_model.CpModel, *, seconds: float, workers: int = 1) -> tuple[Answer, cp_model.CpSolver]:
    """Minimize a model within a time; the solver has the values of what it found."""
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    status = solver.solve(model)
    found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return Answer(round(solver.objective_value) if found else None, round(solver.best_objective_bound)), solver


def keep(kind: str, name: str, value: int) -> None:
    """Write a proved value into the file beside the instances."""
    file = FOLDER / "proved.json"
    kept = json.loads(file.read_text()) if file.exists() else {"optimal": {}}
    kept["how"] = f"OR-Tools {ortools.__version__} CP-SAT: python -m tests.bench.oracle KIND NAME... --seconds 45"
    kept["optimal"].setdefault(kind, {})[name] = value
    kept["optimal"] = {key: dict(sorted(values.items())) for key, values in sorted(kept["optimal"].items())}
    file.write_text(json.dumps(kept, indent=1) + "\n")


def main() -> None:
    """Prove what was asked for and keep it."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("kind", help="'makespan' or a due factor such as 1.3")
    asked.add_argument("names", nargs="+")
    asked.add_argument("--seconds", type=float, default=45)
    asked.add_argument("--workers", type=int, default=1)
    given = asked.parse_args()
    limits = {"seconds": given.seconds, "workers": given.workers}
    for name in given.names:
        if given.kind == "makespan":
            answer = least_makespan(jobs_of(name), **limits)
        else:
            answer = least_tardiness(tardiness_jobs(name), given.kind, **limits)
        print(given.kind, name, answer.value, "optimal" if answer.optimal else f"at least {answer.bound}", flush=True)
        if answer.optimal and answer.value is not None:
            keep(given.kind, name, answer.value)


if __name__ == "__main__":
    main()
