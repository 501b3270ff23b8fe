"""Opening the database for a command, and showing progress."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click
import sqlalchemy as sa
from flask import Flask
from sqlalchemy import orm

from app import create_app
from app.config import Config, load_config
from app.shared.database import make_engine
from app.shared.errors import PlainError
from app.shared.schema import current_revision, refuse_wrong_schema, upgrade


class NoDatabaseError(PlainError):
    """A command that only reads was pointed at a place where there is nothing to read."""

    def __init__(self, file: str) -> None:
        super().__init__(
            f"There is no database {file}. Correct LOTWRIGHT_DATA or LOTWRIGHT_DATABASE_URL, "
            "or begin a shop with: lotwright serve"
        )


@contextmanager
def opened(config: Config | None = None, *, make: bool = False) -> Iterator[Flask]:
    """Open the app on an up-to-date database, in an application context; with ``make`` one is made where none is.

    Raises:
        NewerDatabaseError, OutOfDateError: the database does not fit this program.
        NoDatabaseError: there is none, and none is to be made.
    """
    config = config or load_config()
    if not make:
        refuse_missing(config)
    make_or_check(config)
    app = create_app(config)
    with app.app_context():
        try:
            yield app
        finally:
            app.extensions["lotwright_engine"].dispose()


@contextmanager
def opened_session(config: Config | None = None, *, make: bool = False) -> Iterator[orm.Session]:
    """Open a session on an up-to-date database; with ``make`` one is made where none is."""
    with opened(config, make=make) as app, orm.Session(app.extensions["lotwright_engine"]) as session:
        yield session


def refuse_missing(config: Config) -> None:
    """Refuse a SQLite file that is not there: opening it would make an empty one at a mistyped place.

    Raises:
        NoDatabaseError: it is not there.
    """
    url = sa.make_url(config.database_url)
    if url.get_backend_name() == "sqlite" and url.database and not Path(url.database).exists():
        raise NoDatabaseError(url.database)


def make_or_check(config: Config) -> None:
    """Make the tables of an empty database; refuse one that does not fit this program."""
    engine = make_engine(config.database_url)
    try:
        if is_empty(engine):
            upgrade(engine)
        refuse_wrong_schema(engine)
    except sa.exc.OperationalError as error:
        reason = " ".join(str(error.orig).split())
        raise click.ClickException(f"The database could not be opened: {reason}") from error
    finally:
        engine.dispose()


def is_empty(engine: sa.Engine) -> bool:
    """Say whether a database has no table at all."""
    return current_revision(engine) is None and not sa.inspect(engine).get_table_names()
