"""A real PostgreSQL for tests: Debian's server on a socket in a temporary folder, or TEST_DATABASE_URL."""

import itertools
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
import sqlalchemy as sa

from app.shared.database import make_engine
from app.shared.schema import upgrade

REQUIRED = "LOTWRIGHT_TESTS_REQUIRE"


class PostgresServer:
    """A running server on which each test gets a database of its own."""

    def __init__(self, url: str) -> None:
        self.url = sa.make_url(url).set(drivername="postgresql+psycopg")
        self._numbers = itertools.count(1)
        self._prefix = f"lotwright_test_{os.getpid()}"

    @classmethod
    @contextmanager
    def started(cls) -> Iterator["PostgresServer"]:
        """Use TEST_DATABASE_URL, or start Debian's server; skip with the reason where there is neither."""
        given = os.environ.get("TEST_DATABASE_URL")
        if given:
            yield cls(given)
            return
        programs = sorted(Path("/usr/lib/postgresql").glob("*/bin"))
        if not programs:
            if "postgresql" in os.environ.get(REQUIRED, ""):
                pytest.fail("PostgreSQL is required here and not installed")
            pytest.skip(
                "PostgreSQL is not installed (Debian: apt-get install postgresql) and TEST_DATABASE_URL is not set"
            )
        with _own_server(programs[-1]) as url:
            yield cls(url)

    def _run(self, statement: str) -> None:
        engine = sa.create_engine(self.url, isolation_level="AUTOCOMMIT")
        with engine.connect() as connection:
            connection.exec_driver_sql(statement)
        engine.dispose()

    def migrated_template(self) -> str:
        """Make a migrated, empty database and return its name."""
        name = f"{self._prefix}_template"
        self._run(f'CREATE DATABASE "{name}"')
        engine = make_engine(self.url.set(database=name))
        upgrade(engine)
        engine.dispose()
        return name

    @contextmanager
    def copy_of(self, template: str | None) -> Iterator[str]:
        """Give the URL of a copy of ``template`` (an empty database for None), dropped afterwards."""
        name = f"{self._prefix}_{next(self._numbers)}"
        self._run(f'CREATE DATABASE "{name}"' + (f' TEMPLATE "{template}"' if template else ""))
        try:
            yield self.url.set(database=name).render_as_string(hide_password=False)
        finally:
            self._run(f'DROP DATABASE "{name}" WITH (FORCE)')


@contextmanager
def _own_server(programs: Path) -> Iterator[str]:
    folder = Path(tempfile.mkdtemp(prefix="lotwright-pg-"))
    as_postgres = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    if as_postgres:
        shutil.chown(folder, "postgres")
    data = folder / "data"
    options = f"-k {folder} -c listen_addresses='' -c fsync=off -c synchronous_commit=off -c full_page_writes=off"
    try:
        _quiet([*as_postgres, str(programs / "initdb"), "-D", str(data), "-A", "trust", "-U", "postgres", "-E", "UTF8"])
        _quiet(
            [
                *as_postgres,
                str(programs / "pg_ctl"),
                "-D",
                str(data),
                "-w",
                "-l",
                str(folder / "log"),
                "-o",
                options,
                "start",
            ]
        )
        yield f"postgresql://postgres@/postgres?host={folder}"
    finally:
        subprocess.run(
            [*as_postgres, str(programs / "pg_ctl"), "-D", str(data), "-m", "immediate", "stop"],
            check=False,
            capture_output=True,
            cwd="/",
        )
        shutil.rmtree(folder, ignore_errors=True)


def _quiet(command: list[str]) -> None:
    subprocess.run(command, check=True, capture_output=True, cwd="/")
