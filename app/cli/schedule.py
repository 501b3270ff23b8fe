"""Planning problems and plans as files, without the database."""

import os
import re
import time
from codecs import BOM_UTF16_BE, BOM_UTF16_LE
from fractions import Fraction
from math import isfinite
from pathlib import Path
from typing import Final

import click

from app.cli.database import opened_session
from app.config import compiled_folder, data_folder
from app.core.any_problem import read_any_problem
from app.core.job_shop_text import JobShopTextError
from app.core.plan_check import check
from app.core.planning.compiled import engine
from app.core.planning.decoding import PLAIN
from app.core.planning.problem_file import write_problem
from app.core.planning.reading import BadFileError
from app.core.planning.result_file import Plan, read_plan, write_plan
from app.core.planning.search import Effort, improve
from app.core.shop import Shop
from app.schedule.queries import obstacle_words, read_snapshot
from app.shared.clock import utc_now

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)
PLAIN_NUMBER: Final = re.compile(r"[0-9]{1,9}(\.[0-9]{1,9})?")
MOST_FACTOR: Final = 1000


@click.group()
def schedule() -> None:
    """Schedule a shop that is kept in a file, and prove schedules."""


@schedule.command("check")
@click.argument("problem", type=FILE)
@click.argument("result", type=FILE)
@click.option("--due-factor", "due", metavar="F", help="That of `schedule run`, where it made the plan with one.")
def check_plan(problem: Path, result: Path, due: str | None) -> None:
    """Prove that a plan keeps every rule of the shop it was made for.

    PROBLEM is a problem file, a planning case, or the plain text of a published job-shop instance; RESULT is a plan as
    `schedule run --json` writes it. Prints a line for every rule broken, and exits with 1 when there is one.

    Example: lotwright schedule check shop.json plan.json
    """
    shop = problem_in(problem, _factor(due))
    try:
        plan = read_plan(_text_of(result))
    except BadFileError as error:
        raise click.ClickException(f"{result}: {error}") from error
    found = check(shop, plan)
    for violation in found:
        click.echo(f"{violation.rule}: {violation}")
    runs, lots = _so_many(len(plan.operations), "run"), _so_many(len(shop.lots), "lot")
    click.echo(f"{_so_many(len(found), 'broken rule')} in {runs} of {lots}.")
    if found:
        raise click.exceptions.Exit(1)


@schedule.command("run")
@click.argument("file", type=FILE)
@click.option("--seconds", type=click.FloatRange(0), help="Search so long for a better order.")
@click.option("--iterations", type=click.IntRange(0), help="Search with so many moves: each time with the same plan.")
@click.option("--searches", type=click.IntRange(1), help="How many side by side; else as many as there are cores.")
@click.option("--seed", type=click.IntRange(0), default=1, help="What the random numbers of the search begin with.")
@click.option(
    "--objective",
    type=click.Choice(["tardiness", "makespan"]),
    default="tardiness",
    help="Seek the least weighted tardiness, or the earliest end of all.",
)
@click.option("--due-factor", "due", metavar="F", help="Due dates of a published instance: F times a job's work.")
@click.option("--json", "as_json", is_flag=True, help="Print the whole plan, as `schedule check` reads it.")
def run_plan(  # noqa: PLR0913, PLR0917 - one argument an option
    file: Path,
    seconds: float | None,
    iterations: int | None,
    searches: int | None,
    seed: int,
    objective: str,
    due: str | None,
    as_json: bool,
) -> None:
    """Plan the shop that FILE describes: by its ranks, and with time or moves to search, in a better order.

    FILE is a problem file, a planning case, or the plain text of a published job-shop instance.

    Examples: lotwright schedule run shop.json --json; lotwright schedule run ft10.txt --objective makespan --seconds 10
    """
    if seconds is not None and not isfinite(seconds):
        raise click.BadParameter("it must be a number of seconds.", param_hint="--seconds")
    if seconds is not None and iterations is not None:
        raise click.UsageError("Give --seconds or --iterations, not both.")
    shop = problem_in(file, _factor(due))
    searching = bool(seconds or iterations)
    effort = Effort(
        iterations if searching and seconds is None else None if searching else 0,
        seconds or 0.0,
        searches or os.cpu_count() or 1,
        seed,
        time.monotonic,
    )
    machine = (engine(compiled_folder(data_folder())) if searching else None) or PLAIN
    found = improve(shop, effort, machine, makespan=objective == "makespan", words=obstacle_words).plan
    click.echo(write_plan(found) if as_json else _summary(found), nl=not as_json)


def _factor(due: str | None) -> Fraction | None:
    """Return a due factor; only plain digits are read, as a power of ten may stand for more than a memory holds.

    Raises:
        click.BadParameter: it is none.
    """
    if due is None:
        return None
    factor = Fraction(due) if PLAIN_NUMBER.fullmatch(due) else None
    if factor is None or not 0 < factor <= MOST_FACTOR:
        said = f"must be a plain number such as 1.3, above 0 and at most {MOST_FACTOR}."
        raise click.BadParameter(said, param_hint="--due-factor")
    return factor


def _summary(plan: Plan) -> str:
    """Return what a plan comes to in a few lines."""
    lines = [
        f"{plan.status}: {_so_many(len(plan.operations), 'run')}, the last lot finished after {plan.makespan} s",
        f"weighted tardiness {plan.weighted_tardiness} s, {_so_many(plan.late, 'lot')} late",
    ]
    lines += [f"{lot.lot}: {lot.status}. {lot.reason}" for lot in plan.lots if lot.finish is None]
    return "\n".join(lines)


@schedule.command("export")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
def export_problem(file: Path) -> None:
    """Write the shop as it is now to FILE, a problem that `schedule run` reads.

    Example: lotwright schedule export monday.json
    """
    with opened_session() as session:
        shop = read_snapshot(session, utc_now()).shop
    try:
        file.write_text(write_problem(shop), encoding="utf-8")
    except OSError as error:
        raise click.ClickException(f"{file} cannot be written: {error.strerror}.") from error
    lots, stations = _so_many(len(shop.lots), "lot"), _so_many(len(shop.stations), "station")
    click.echo(f"Problem written: {file} ({lots}, {stations})")


def _so_many(count: int, name: str) -> str:
    """Return a number with its noun."""
    return f"{count} {name}{'' if count == 1 else 's'}"


def problem_in(file: Path, due_factor: Fraction | None = None) -> Shop:
    """Return the shop that a file describes; ``due_factor`` gives a published instance due dates.

    Raises:
        click.ClickException: the file holds no planning problem; the sentence says why.
    """
    try:
        return read_any_problem(_text_of(file), due_factor=due_factor)
    except (BadFileError, JobShopTextError) as error:
        raise click.ClickException(f"{file}: {error}") from error


def _text_of(file: Path) -> str:
    """Return the text of a file, in UTF-8 or with the mark of UTF-16, which some shells write with ``>``.

    Raises:
        click.ClickException: there is none.
    """
    try:
        held = file.read_bytes()
        text = held.decode("utf-16" if held.startswith((BOM_UTF16_LE, BOM_UTF16_BE)) else "utf-8-sig")
    except UnicodeDecodeError as error:
        raise click.ClickException(f"{file} is no text (UTF-8 or UTF-16).") from error
    except OSError as error:
        raise click.ClickException(f"{file} cannot be read: {error.strerror}.") from error
    if not text.strip():
        raise click.ClickException(f"{file} is empty.")
    return text
