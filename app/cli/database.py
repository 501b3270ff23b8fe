"""Opening the database for a command, and showing progress."""

from collections.abc import Iterator
from contextlib import contextmanager

import click
import sqlalchemy as sa
from flask import Flask
from sqlalchemy import orm

from app import create_app
from app.config import Config, load_config
from app.shared.database import make_engine
from app.shared.schema import current_revision, refuse_wrong_schema, upgrade


@contextmanager
def opened(config: Config | None = None) -> Iterator[Flask]:
    """Open the app on an up-to-date database, in an application context; an empty database is made first.

    Raises:
        NewerDatabaseError, OutOfDateError: the database does not fit this program.
    """
    config = config or load_config()
    make_or_check(config)
    app = create_app(config)
    with app.app_context():
        try:
            yield app
        finally:
            app.extensions["lotwright_engine"].dispose()


@contextmanager
def opened_session(config: Config | None = None) -> Iterator[orm.Session]:
    """Open a session on an up-to-date database."""
    with opened(config) as app, orm.Session(app.extensions["lotwright_engine"]) as session:
        yield session


def make_or_check(config: Config) -> None:
    """Make the tables of an empty database; refuse one that does not fit this program."""
    engine = make_engine(config.database_url)
    try:
        if is_empty(engine):
            upgrade(engine)
        refuse_wrong_schema(engine)
    except sa.exc.OperationalError as error:
        raise click.ClickException(f"The database could not be opened: {error.orig}") from error
    finally:
        engine.dispose()


def is_empty(engine: sa.Engine) -> bool:
    """Say whether a database has no table at all."""
    return current_revision(engine) is None and not sa.inspect(engine).get_table_names()
