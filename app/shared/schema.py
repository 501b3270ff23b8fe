"""The database's schema: making it, bringing it up to date, and refusing one that does not fit this program."""

from collections.abc import Callable
from itertools import count
from pathlib import Path

import sqlalchemy as sa
from alembic import command
from alembic.config import Config as AlembicConfig
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory

from app.shared.errors import PlainError
from app.shared.progress import Progress, silent

ROOT = Path(__file__).resolve().parents[2]


class NewerDatabaseError(PlainError):
    """The database was made by a newer Lotwright."""

    def __init__(self) -> None:
        super().__init__(
            "This database was written by a newer Lotwright. Start that version, or restore an older backup."
        )


class OutOfDateError(PlainError):
    """The database needs an upgrade first."""

    def __init__(self) -> None:
        super().__init__(
            "This database is from an older Lotwright. Stop the server, then run: lotwright upgrade "
            "(it makes a backup first)."
        )


def alembic_config(connection: sa.Connection | None = None) -> AlembicConfig:
    """Return Alembic's settings from pyproject.toml, for ``connection`` where one is given."""
    config = AlembicConfig(toml_file=str(ROOT / "pyproject.toml"))
    if connection is not None:
        config.attributes["connection"] = connection
    return config


def current_revision(engine: sa.Engine) -> str | None:
    """Return the database's revision, or None where it has no tables of ours."""
    with engine.connect() as connection:
        return MigrationContext.configure(connection).get_current_revision()


def upgrade(engine: sa.Engine, tell: Progress = silent) -> None:
    """Bring the database to the newest revision in one transaction; an empty one gets all tables.

    Args:
        engine: the database.
        tell: told how many of the missing revisions are applied.
    """
    with engine.connect() as connection:
        if engine.dialect.name == "sqlite":
            # Batch changes rebuild tables, which foreign keys would refuse half way.
            connection.connection.dbapi_connection.execute("PRAGMA foreign_keys=OFF")  # type: ignore[union-attr]
        with connection.begin():
            config = alembic_config(connection)
            config.attributes["on_applied"] = _counter(connection, config, tell)
            command.upgrade(config, "head")
        if engine.dialect.name == "sqlite":
            connection.connection.dbapi_connection.execute("PRAGMA foreign_keys=ON")  # type: ignore[union-attr]


def _counter(connection: sa.Connection, config: AlembicConfig, tell: Progress) -> Callable[..., None]:
    """Return what Alembic calls after each revision."""
    current = MigrationContext.configure(connection).get_current_revision()
    missing = len(list(ScriptDirectory.from_config(config).iterate_revisions("head", current or "base")))
    applied = count(1)
    return lambda **_step: tell(next(applied), missing)


def refuse_wrong_schema(engine: sa.Engine) -> None:
    """Check that the database fits this program.

    Raises:
        NewerDatabaseError: it was written by a newer program.
        OutOfDateError: it has to be upgraded first.
    """
    revision = current_revision(engine)
    scripts = ScriptDirectory.from_config(alembic_config())
    if revision == scripts.get_current_head():
        return
    known = {script.revision for script in scripts.walk_revisions()}
    raise OutOfDateError if revision is None or revision in known else NewerDatabaseError
