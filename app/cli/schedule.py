"""Planning problems and plans as files, without the database."""

from collections.abc import Sized
from pathlib import Path

import click

from app.core.any_problem import read_any_problem
from app.core.job_shop_text import JobShopTextError
from app.core.plan_check import check
from app.core.planning.reading import BadFileError
from app.core.planning.result_file import read_plan
from app.core.shop import Shop

FILE = click.Path(exists=True, dir_okay=False, path_type=Path)


@click.group()
def schedule() -> None:
    """Schedule a shop that is kept in a file, and prove schedules."""


@schedule.command("check")
@click.argument("problem", type=FILE)
@click.argument("result", type=FILE)
def check_plan(problem: Path, result: Path) -> None:
    """Prove that a plan keeps every rule of the shop it was made for.

    PROBLEM is a problem file, a planning case, or the plain text of a published job-shop instance; RESULT is a plan as
    `schedule run --json` writes it. Prints a line for every rule broken, and exits with 1 when there is one.

    Example: lotwright schedule check shop.json plan.json
    """
    shop = problem_in(problem)
    try:
        plan = read_plan(result.read_text(encoding="utf-8"))
    except (BadFileError, UnicodeDecodeError) as error:
        raise click.ClickException(f"{result}: {error}") from error
    found = check(shop, plan)
    for violation in found:
        click.echo(f"{violation.rule}: {violation}")
    what = [_so_many(found, "broken rule"), _so_many(plan.operations, "run"), _so_many(shop.lots, "lot")]
    click.echo(f"{what[0]} in {what[1]} of {what[2]}.")
    if found:
        raise click.exceptions.Exit(1)


def _so_many(things: Sized, name: str) -> str:
    """Return a number with its noun."""
    return f"{len(things)} {name}{'' if len(things) == 1 else 's'}"


def problem_in(file: Path) -> Shop:
    """Return the shop that a file describes.

    Raises:
        click.ClickException: the file holds no planning problem; the sentence says why.
    """
    try:
        return read_any_problem(file.read_text(encoding="utf-8"))
    except (BadFileError, JobShopTextError, UnicodeDecodeError) as error:
        raise click.ClickException(f"{file}: {error}") from error
