"""Looking after the data: upgrade, backup, verify."""

import os
import shutil
import sqlite3
import subprocess
from datetime import UTC, datetime
from pathlib import Path

import click
import sqlalchemy as sa

from app.cli.database import is_empty, opened_session
from app.cli.progress import shown_progress
from app.config import load_config
from app.lots.queries.verify import differences as lot_differences
from app.material.services import recount_issued
from app.shared.database import make_engine
from app.shared.errors import PlainError
from app.shared.schema import refuse_wrong_schema
from app.shared.schema import upgrade as upgrade_schema
from app.shipping.queries.verify import differences as shipment_differences

PAGES_AT_A_TIME = 512


class BackupError(PlainError):
    """A backup that could not be made."""


@click.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
def backup(file: Path) -> None:
    """Write a copy of the whole database to FILE while the program may go on running.

    Example: lotwright backup D:/backups/lotwright-monday.sqlite3
    """
    make_backup(sa.make_url(load_config().database_url), file)
    click.echo(f"Backup written: {file} ({file.stat().st_size / 1e6:.1f} MB)")


def make_backup(url: sa.URL, file: Path) -> None:
    """Copy the database at ``url`` to ``file``, which must not exist yet.

    Raises:
        BackupError: the file exists, its folder is missing, or the copy failed; no half file is left.
    """
    if file.exists():
        raise BackupError(f"{file} exists already. Choose another name, or remove it first.")
    if not file.resolve().parent.is_dir():
        raise BackupError(f"The folder {file.resolve().parent} does not exist. Make it first.")
    try:
        if url.get_backend_name() == "sqlite":
            _copy_sqlite(Path(url.database or ""), file)
        else:
            _dump_postgres(url, file)
    except (OSError, sqlite3.Error, subprocess.CalledProcessError) as error:
        file.unlink(missing_ok=True)
        raise BackupError(f"The backup could not be made: {error}") from error


def _copy_sqlite(source: Path, file: Path) -> None:
    if not source.exists():
        raise BackupError(f"There is no database at {source} yet.")
    with sqlite3.connect(source) as live, sqlite3.connect(file) as copy:
        with click.progressbar(length=1, label="Copying") as bar:
            done = 0

            def show(_status: int, remaining: int, total: int) -> None:
                nonlocal done
                bar.length = total
                bar.update(total - remaining - done)
                done = total - remaining

            live.backup(copy, pages=PAGES_AT_A_TIME, progress=show)
        copy.execute("PRAGMA journal_mode=DELETE")
    live.close()
    copy.close()


def _dump_postgres(url: sa.URL, file: Path) -> None:
    program = shutil.which("pg_dump")
    if program is None:
        raise BackupError("pg_dump is not on this computer's path; it comes with PostgreSQL's client programs.")
    plain = url.set(drivername="postgresql", password=None).render_as_string()
    environment = {**os.environ, "PGPASSWORD": url.password or ""}
    subprocess.run(  # noqa: S603 - the program found on the path, with our own arguments
        [program, "--format=custom", f"--file={file}", plain], check=True, env=environment
    )


@click.command()
def upgrade() -> None:
    """Bring the database to this program's version, after a backup beside it.

    Example: lotwright upgrade
    """
    config = load_config()
    engine = make_engine(config.database_url)
    if not is_empty(engine):
        stamp = datetime.now(UTC).strftime("%Y%m%d-%H%M%S")
        suffix = "sqlite3" if engine.dialect.name == "sqlite" else "dump"
        file = config.data_folder / f"before-upgrade-{stamp}.{suffix}"
        make_backup(engine.url, file)
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
        counts = (*lot_differences(session, tell), *recount_issued(session), *shipment_differences(session))
        found = [str(each) for each in counts]
    for line in found:
        click.echo(line)
    if found:
        raise click.exceptions.Exit(1)
    click.echo("Every count agrees with the ledger.")
