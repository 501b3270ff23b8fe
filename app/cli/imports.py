"""Importing parts and orders from a table."""

from pathlib import Path

import click

from app.cli.database import opened_session
from app.orders.services import import_orders
from app.parts.services import import_parts
from app.shared.clock import utc_now
from app.shared.sheets import read_table


@click.group("import")
def import_group() -> None:
    """Import parts or orders from a .csv or .xlsx file; every row is right, or nothing is kept."""


@import_group.command("parts")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
def parts(file: Path) -> None:
    """Import parts and routings.

    Example: lotwright import parts parts.xlsx
    """
    with opened_session() as session:
        done = import_parts(session, read_table(file.name, file.read_bytes()), None, utc_now())
    click.echo(f"Imported: {done}")


@import_group.command("orders")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
def orders(file: Path) -> None:
    """Import customer orders.

    Example: lotwright import orders orders.csv
    """
    with opened_session() as session:
        done = import_orders(session, read_table(file.name, file.read_bytes()), None, utc_now())
    click.echo(f"Imported: {done}")
