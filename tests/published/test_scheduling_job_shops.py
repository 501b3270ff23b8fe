"""The forecast on job shops whose optimum is known.

Instances: Fisher and Thompson 1963 (ft) and Lawrence 1984 (la), as kept by J. E. Beasley's OR-Library, jobshop1.txt.
Optimal makespans: the literature's, from memory, and proved again with an independent constraint solver.
"""

from pathlib import Path

import pytest

from app.core.forecast import Status, forecast
from app.core.shop import SinglePiece
from tests.core.feasibility import violations
from tests.core.shops import MONDAY, lot, operation, shop, station

OPTIMUM = {
    "ft06": 55,
    "ft10": 930,
    "ft20": 1165,
    "la01": 666,
    "la02": 655,
    "la03": 597,
    "la04": 590,
    "la05": 593,
}


def read_instances():
    instances: dict[str, list[list[tuple[str, int]]]] = {}
    for line in (Path(__file__).parent / "data" / "jobshop1.txt").read_text().splitlines():
        if line.startswith("instance"):
            jobs = instances.setdefault(line.split()[1], [])
        elif line and not line.startswith("#"):
            machines, times = line.split()[::2], line.split()[1::2]
            jobs.append([(machine, int(time)) for machine, time in zip(machines, times, strict=True)])
    return instances


INSTANCES = read_instances()


def job_shop(jobs):
    """One piece of each job, a second for each unit of time, machines that never close."""
    machines = sorted({machine for job in jobs for machine, _ in job})
    lots = [
        lot(
            f"{number:02}",
            *(
                operation(str(step), SinglePiece(time * 1000), machine, waiting=int(step == 0))
                for step, (machine, time) in enumerate(job)
            ),
        )
        for number, job in enumerate(jobs)
    ]
    return shop([station(machine, machine) for machine in machines], *lots)


def test_the_instances_are_complete():
    shapes = {name: (len(jobs), {len(job) for job in jobs}) for name, jobs in INSTANCES.items()}
    assert shapes == {
        "ft06": (6, {6}),
        "ft10": (10, {10}),
        "ft20": (20, {5}),
        **{f"la0{n}": (10, {5}) for n in range(1, 6)},
    }
    total = {name: sum(time for job in INSTANCES[name] for _, time in job) for name in ("ft06", "ft10", "la01")}
    assert total == {"ft06": 197, "ft10": 5109, "la01": 2849}  # recomputed apart


@pytest.mark.parametrize("name", OPTIMUM)
def test_a_forecast_is_feasible_never_below_the_optimum_and_within_the_work_done_one_by_one(name):
    jobs = INSTANCES[name]
    case = job_shop(jobs)
    planned = forecast(case)
    assert violations(case, planned) == []
    assert {one.status for one in planned.lots.values()} == {Status.PLANNED}
    makespan = max(one.finish or 0 for one in planned.lots.values()) - MONDAY
    assert OPTIMUM[name] <= makespan <= sum(time for job in jobs for _, time in job)
