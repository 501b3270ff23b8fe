"""The forecast on job shops whose optimum is known; sources stand in the instances' files beside this one."""

import pytest

from app.core.forecast import Status, forecast
from app.core.shop import SinglePiece
from tests.core.feasibility import violations
from tests.core.shops import MONDAY, lot, operation, shop, station
from tests.published.job_shops import best_known, jobs_of

NAMES = ["ft06", "ft10", "ft20", "la01", "la02", "la03", "la04", "la05"]


def job_shop(jobs):
    """One piece of each job, a second for each unit of time, machines that never close."""
    machines = sorted({machine for job in jobs for machine, _ in job})
    lots = [
        lot(
            f"{number:02}",
            *(
                operation(str(step), SinglePiece(time * 1000), str(machine), waiting=int(step == 0))
                for step, (machine, time) in enumerate(job)
            ),
        )
        for number, job in enumerate(jobs)
    ]
    return shop([station(str(machine), str(machine)) for machine in machines], *lots)


@pytest.mark.parametrize("name", NAMES)
def test_a_forecast_is_feasible_never_below_the_optimum_and_within_the_work_done_one_by_one(name):
    jobs = jobs_of(name)
    case = job_shop(jobs)
    planned = forecast(case)
    assert violations(case, planned) == []
    assert {one.status for one in planned.lots.values()} == {Status.PLANNED}
    makespan = max(one.finish or 0 for one in planned.lots.values()) - MONDAY
    assert best_known()[name][0] <= makespan <= sum(time for job in jobs for _, time in job)
