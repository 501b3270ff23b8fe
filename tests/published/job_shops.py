"""The published job-shop instances beside this file, and what is known about them; used by tests and benches.

Files: ``instances/jobshop1.txt`` and ``instances/taillard.txt`` (sources at their top), ``instances/best_known.toml``
and ``instances/proved.json``, which ``tests.bench.oracle`` writes.
"""

import json
import tomllib
from fractions import Fraction
from functools import cache
from pathlib import Path

from app.core.job_shop_text import read_job_shop
from app.core.shop import Shop

FOLDER = Path(__file__).parent / "instances"

Jobs = list[list[tuple[int, int]]]
"""For each job its operations in order, as pairs of machine and time."""


@cache
def texts() -> dict[str, str]:
    """Return each instance by name as plain text: a line with jobs and machines, then a job a line."""
    instances: dict[str, list[str]] = {}
    for file in ("jobshop1.txt", "taillard.txt"):
        for line in (FOLDER / file).read_text().splitlines():
            if line.startswith("instance"):
                _, name, jobs, machines = line.split()
                lines = instances.setdefault(name, [f"{jobs} {machines}"])
            elif line and not line.startswith("#"):
                lines.append(line)
    return {name: "\n".join(lines) + "\n" for name, lines in instances.items()}


def jobs_of(name: str) -> Jobs:
    """Return the jobs of an instance."""
    numbers = [[int(number) for number in line.split()] for line in texts()[name].splitlines()[1:]]
    return [list(zip(row[::2], row[1::2], strict=True)) for row in numbers]


def first_jobs(name: str, jobs: int) -> Jobs:
    """Return the first so many jobs of an instance."""
    return jobs_of(name)[:jobs]


@cache
def best_known() -> dict[str, tuple[int, int]]:
    """Return the proved lower bound and the best makespan known of each instance; equal where it is the optimum."""
    table = tomllib.loads((FOLDER / "best_known.toml").read_text())["makespan"]
    return {name: (lower, upper) for name, (lower, upper) in table.items()}


@cache
def proved() -> dict[str, dict[str, int]]:
    """Return what the oracle proved optimal: by ``"makespan"`` or the due factor, then by instance."""
    found: dict[str, dict[str, int]] = json.loads((FOLDER / "proved.json").read_text())["optimal"]
    return found


@cache
def published_tardiness(factor: str) -> dict[str, int]:
    """Return the published least weighted tardiness of Singer and Pinedo's instances at a due factor."""
    values: dict[str, int] = tomllib.loads((FOLDER / "best_known.toml").read_text())["weighted_tardiness"][factor]
    return values


def tardiness_jobs(name: str) -> Jobs:
    """Return the jobs of an instance as Singer and Pinedo use it: ten of them."""
    return first_jobs(name, 10)


def tardiness_shop(name: str, factor: str) -> Shop:
    """Return an instance of Singer and Pinedo as a shop."""
    jobs = tardiness_jobs(name)
    lines = [" ".join(f"{machine} {time}" for machine, time in job) for job in jobs]
    return read_job_shop("\n".join([f"{len(jobs)} {len(jobs[0])}", *lines]), due_factor=Fraction(factor))


def weights_and_dues(jobs: Jobs, factor: str) -> list[tuple[int, int]]:
    """Return weight and due date of each job after M. Singer and M. Pinedo, IIE Transactions 30 (1998) 109-118.

    The first 20 % of the jobs weigh 4, the next 60 % 2, the rest 1; due at ``factor`` times its work, rounded down.
    """
    return [
        (
            4 if 5 * n < len(jobs) else 2 if 5 * n < 4 * len(jobs) else 1,
            int(Fraction(factor) * sum(t for _, t in job)),
        )
        for n, job in enumerate(jobs)
    ]
