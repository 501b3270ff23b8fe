"""The constraint solver (OR-Tools CP-SAT, the extra ``bench``) on what the search is measured on, beside it."""

from typing import Final

from tests.bench.case_oracle import weighted_days
from tests.bench.oracle import least_makespan, least_tardiness
from tests.published.job_shops import jobs_of, tardiness_jobs

__all__ = ("solved_makespan", "solved_tardiness", "weighted_days")

WORKERS: Final = 2


def solved_makespan(name: str, seconds: float, at_most: int) -> int:
    """Return the makespan that the solver finds; ``at_most`` where it finds none."""
    answer = least_makespan(jobs_of(name), seconds=seconds, workers=WORKERS).value
    return at_most if answer is None else min(answer, at_most)


def solved_tardiness(name: str, factor: str, seconds: float, at_most: int) -> int:
    """Return the weighted tardiness that the solver finds; ``at_most`` where it finds none."""
    answer = least_tardiness(tardiness_jobs(name), factor, seconds=seconds, workers=WORKERS).value
    return at_most if answer is None else min(answer, at_most)
