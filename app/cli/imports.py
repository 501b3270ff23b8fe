"""Importing parts and orders from a table."""

from pathlib import Path

import click

from app.cli.database import opened_session
from app.cli.progress import shown_progress
from app.orders.services import import_orders
from app.parts.services import Outcome, import_parts
from app.shared.clock import utc_now
from app.shared.sheets import read_sheet

A_FILE = click.Path(exists=True, dir_okay=False, path_type=Path)


@click.group("import")
def import_group() -> None:
    """Import parts or orders from a .csv or .xlsx file; every row is right, or nothing is kept."""


@import_group.command("parts")
@click.argument("file", type=A_FILE)
def parts(file: Path) -> None:
    """Import parts and routings.

    Example: lotwright import parts parts.xlsx
    """
    with opened_session() as session, shown_progress("Importing parts") as tell:
        table = read_sheet(file.read_bytes(), file.name)
        done = import_parts(session, table, by=None, now=utc_now(), tell=tell)
    counts = ", ".join(f"{outcome.value} {done.count(outcome)}" for outcome in Outcome)
    click.echo(f"Imported {len(done.lines)} revisions: {counts}.")


@import_group.command("orders")
@click.argument("file", type=A_FILE)
def orders(file: Path) -> None:
    """Import customer orders.

    Example: lotwright import orders orders.csv
    """
    with opened_session() as session, shown_progress("Importing orders") as tell:
        table = read_sheet(file.read_bytes(), file.name)
        done = import_orders(session, table, by=None, now=utc_now(), tell=tell)
    click.echo(f"Imported: {done}.")
