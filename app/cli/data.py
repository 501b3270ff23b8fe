"""Looking after the data: upgrade, backup, verify."""

from datetime import UTC, datetime
from pathlib import Path

import click
import sqlalchemy as sa

from app.cli.database import is_empty, opened_session, refuse_missing
from app.cli.progress import shown_progress
from app.config import load_config
from app.lots.queries.verify import differences as lot_differences
from app.lots.queries.verify_hours import hour_differences
from app.material.services import recount_issued
from app.shared.backups import backup_suffix, make_backup
from app.shared.database import make_engine
from app.shared.schema import refuse_wrong_schema
from app.shared.schema import upgrade as upgrade_schema
from app.shipping.queries.verify import differences as shipment_differences


@click.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
def backup(file: Path) -> None:
    """Write a copy of the whole database to FILE while the program may go on running.

    Example: lotwright backup D:/backups/lotwright-monday.sqlite3
    """
    config = load_config()
    refuse_missing(config)
    with shown_progress("Copying") as tell:
        make_backup(sa.make_url(config.database_url), file, tell)
    click.echo(f"Backup written: {file} ({file.stat().st_size / 1e6:.1f} MB)")


@click.command()
def upgrade() -> None:
    """Bring the database to this program's version, after a backup beside it.

    Example: lotwright upgrade
    """
    config = load_config()
    refuse_missing(config)
    engine = make_engine(config.database_url)
    if not is_empty(engine):
        stamp = datetime.now(UTC).strftime("%Y%m%d-%H%M%S")
        file = config.data_folder / f"before-upgrade-{stamp}.{backup_suffix(engine.url)}"
        with shown_progress("Copying") as tell:
            make_backup(engine.url, file, tell)
        click.echo(f"Backup written: {file}")
    with shown_progress("Upgrading") as tell:
        upgrade_schema(engine, tell)
    refuse_wrong_schema(engine)
    engine.dispose()
    click.echo("The database is up to date.")


@click.command()
def verify() -> None:
    """Recompute every count from the ledger; exit code 1 and a list where they differ.

    Example: lotwright verify
    """
    with opened_session() as session, shown_progress("Reading the ledger") as tell:
        counts = (
            *lot_differences(session, tell),
            *hour_differences(session),
            *recount_issued(session),
            *shipment_differences(session),
        )
        found = [str(each) for each in counts]
    for line in found:
        click.echo(line)
    if found:
        raise click.exceptions.Exit(1)
    click.echo("Every count agrees with the ledger.")
