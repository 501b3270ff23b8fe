"""Reads the plain text in which job-shop instances are published: a shop with one piece of each job, open all the time.

The first line has the numbers of jobs and machines; then a line for each job has a machine (from 0) and a time for each
of its operations, in order: each machine once. A unit of time becomes a second, counted from 0. An operation of no
time, such as the last of the tenth job of orb07, is left out; its optimum stays the same.
"""

from datetime import time
from fractions import Fraction
from typing import Final

from app.core.calendar_hours import OpenHours, Shift
from app.core.calendars import WorkCalendar
from app.core.shop import Lot, Operation, Shop, SinglePiece, Station

Job = list[tuple[int, int]]
_LONGEST: Final = 2**53 // 1000
"""Its milliseconds are the most that plans reckon with, as in ``app.core.planning.reading``."""


class JobShopTextError(ValueError):
    """The text is not a job-shop instance; the sentence names the line to mend."""


def read_job_shop(text: str, *, due_factor: Fraction | None = None) -> Shop:
    """Return the shop that a published instance describes, at second 0.

    With a ``due_factor`` lots have the weights and due dates of M. Singer and M. Pinedo, A computational study of
    branch and bound techniques for minimizing the total weighted tardiness in job shops, IIE Transactions 30 (1998)
    109-118: the first 20 % of the jobs weigh 4, the next 60 % 2, the rest 1, and each is due at the factor times its
    total work, rounded down. Without one nothing is ever due.

    Raises:
        JobShopTextError: the text is something else.
    """
    machines, jobs = _read(text)
    always = WorkCalendar(OpenHours("UTC", tuple(Shift(day, time(0), time(0)) for day in range(7))))
    stations = tuple(Station(str(machine), str(machine), always) for machine in range(machines))
    lots = tuple(_lot(number, job, len(jobs), due_factor) for number, job in enumerate(jobs))
    return Shop(0, stations, lots, always)


def _lot(number: int, job: Job, jobs: int, due_factor: Fraction | None) -> Lot:
    """Return the lot of one job; its key is the job's number from 0."""
    operations = tuple(
        Operation(str(index), str(machine), SinglePiece(cycle_ms=duration * 1000), waiting=int(index == 0))
        for index, (machine, duration) in enumerate(job)
    )
    key = str(number)
    if due_factor is None:
        return Lot(key, key, operations)
    due = int(due_factor * sum(duration for _, duration in job))
    return Lot(key, key, operations, due=due, weight=_weight(number, jobs))


def _weight(number: int, jobs: int) -> int:
    """Return the weight of job ``number`` (from 0) of so many: 4 in the first fifth, 1 in the last, 2 between."""
    if 5 * number < jobs:
        return 4
    return 2 if 5 * number < 4 * jobs else 1


def _read(text: str) -> tuple[int, list[Job]]:
    """Return the number of machines, and the jobs."""
    lines = [(number, _numbers(number, line)) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    if not lines or len(lines[0][1]) != 2:
        raise JobShopTextError("The first line must have two whole numbers: how many jobs and how many machines.")
    jobs, machines = lines[0][1]
    if len(lines) - 1 != jobs:
        raise JobShopTextError(f"The first line promises {jobs} jobs; there are {len(lines) - 1} lines after it.")
    if jobs < 1 or machines < 1:
        raise JobShopTextError("There must be at least one job and one machine.")
    return machines, [_job(number, row, machines) for number, row in lines[1:]]


def _job(number: int, row: list[int], machines: int) -> Job:
    """Return a line's pairs of machine and time."""
    if len(row) % 2:
        raise JobShopTextError(f"Line {number}: machines and times must come in pairs.")
    pairs = list(zip(row[::2], row[1::2], strict=True))
    if len(pairs) != machines:
        raise JobShopTextError(
            f"Line {number} has {_so_many(len(pairs), 'pair')} of machine and time; "
            f"the first line promises {_so_many(machines, 'machine')}, one pair for each."
        )
    seen: set[int] = set()
    for machine, duration in pairs:
        _check_pair(number, machine, duration, machines)
        if machine in seen:
            raise JobShopTextError(f"Line {number}: machine {machine} comes twice; a job comes to each machine once.")
        seen.add(machine)
    return [pair for pair in pairs if pair[1]]


def _check_pair(number: int, machine: int, duration: int, machines: int) -> None:
    """Raise JobShopTextError for a machine that there is not, or a time that makes no sense."""
    if not 0 <= machine < machines:
        raise JobShopTextError(f"Line {number}: machine {machine} is not one of 0 to {machines - 1}.")
    if duration < 0:
        raise JobShopTextError(f"Line {number}: a time must not be below zero.")
    if duration >= _LONGEST:
        raise JobShopTextError(f"Line {number}: a time must be below {_LONGEST}, not {duration}.")


def _so_many(count: int, name: str) -> str:
    """Return a number with its noun."""
    return f"{count} {name}{'' if count == 1 else 's'}"


def _numbers(number: int, line: str) -> list[int]:
    """Return the whole numbers of a line."""
    try:
        return [int(word) for word in line.split()]
    except ValueError as error:
        raise JobShopTextError(f"Line {number}: there must be only whole numbers.") from error
