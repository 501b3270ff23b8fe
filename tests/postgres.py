"""A real PostgreSQL for tests: Debian's server on a socket in a temporary folder, or TEST_DATABASE_URL.

Making and dropping a database takes a tenth of a second, so that copies are emptied and used again: ``kept`` holds the
rows and the numbers that the migrations left, and ``kept.reset()`` puts them back. What a connection has learned of
the tables takes as long to learn again: it ends those that do not call themselves ``kept``, or are in the middle of
something.
"""

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


KEEP_WHAT_MIGRATIONS_LEFT = """
CREATE SCHEMA kept;
DO $$
DECLARE
  name text;
  put_back text = '';
  is_empty boolean;
BEGIN
  FOR name IN SELECT tablename FROM pg_tables WHERE schemaname = 'public' LOOP
    EXECUTE format('CREATE TABLE kept.%I AS TABLE public.%I', name, name);
    EXECUTE format('SELECT NOT EXISTS (SELECT 1 FROM kept.%I)', name) INTO is_empty;
    put_back = put_back || format('DELETE FROM public.%I; ', name);
    IF NOT is_empty THEN
      put_back = put_back || format('INSERT INTO public.%I SELECT * FROM kept.%I; ', name, name);
    END IF;
  END LOOP;
  EXECUTE format('CREATE FUNCTION kept.put_back() RETURNS void LANGUAGE plpgsql AS %L', 'BEGIN ' || put_back || 'END');
END $$;
CREATE FUNCTION kept.shape() RETURNS text LANGUAGE sql AS $$
  SELECT md5(string_agg(concat_ws(' ', attrelid, attname, atttypid, attisdropped), ',' ORDER BY attrelid, attnum))
    FROM pg_attribute JOIN pg_class ON pg_class.oid = attrelid WHERE relnamespace = 'public'::regnamespace
$$;
CREATE TABLE kept."-shape" AS SELECT kept.shape() AS shape;
CREATE TABLE kept."-sequences" AS
  SELECT sequencename AS name, start_value, last_value FROM pg_sequences WHERE schemaname = 'public';
CREATE FUNCTION kept.reset() RETURNS boolean LANGUAGE plpgsql AS $$
BEGIN
  IF kept.shape() <> (SELECT shape FROM kept."-shape") THEN
    RETURN false;
  END IF;
  PERFORM pg_terminate_backend(pid) FROM pg_stat_activity
    WHERE datname = current_database() AND pid <> pg_backend_pid() AND (state <> 'idle' OR application_name <> 'kept');
  SET LOCAL session_replication_role = replica;
  PERFORM kept.put_back();
  PERFORM setval(format('public.%I', k.name), coalesce(k.last_value, k.start_value), k.last_value IS NOT NULL)
    FROM kept."-sequences" k JOIN pg_sequences s ON s.sequencename = k.name
    WHERE s.last_value IS DISTINCT FROM k.last_value;
  RETURN true;
END $$;
"""


class PostgresServer:
    """A running server on which each test gets a database of its own."""

    def __init__(self, url: str) -> None:
        self.url = sa.make_url(url).set(drivername="postgresql+psycopg")
        self._numbers = itertools.count(1)
        self._prefix = f"lotwright_test_{os.getpid()}"
        self._clean: list[Copy] = []

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
        with engine.begin() as connection:
            connection.exec_driver_sql(KEEP_WHAT_MIGRATIONS_LEFT.replace("%", "%%"))
        engine.dispose()
        return name

    @contextmanager
    def copy_of(self, template: str) -> Iterator[str]:
        """Give the URL of a copy of ``template`` that nobody else uses meanwhile."""
        copy = self._clean.pop() if self._clean else self._new_copy(template)
        try:
            yield copy.url.render_as_string(hide_password=False)
        finally:
            if copy.was_emptied():
                self._clean.append(copy)
            else:  # the test changed tables
                copy.close()
                self._run(f'DROP DATABASE "{copy.url.database}" WITH (FORCE)')

    def _new_copy(self, template: str) -> "Copy":
        name = f"{self._prefix}_{next(self._numbers)}"
        self._run(f'CREATE DATABASE "{name}" TEMPLATE "{template}"')
        return Copy(self.url.set(database=name))

    def close(self) -> None:
        """Leave no connection behind."""
        for copy in self._clean:
            copy.close()


class Copy:
    """A copy of the template, with the connection that empties it after each test."""

    def __init__(self, url: sa.URL) -> None:
        self.url = url
        self._engine = sa.create_engine(url, isolation_level="AUTOCOMMIT", poolclass=sa.StaticPool)

    def was_emptied(self) -> bool:
        """Put back what the migrations left; False where the tables are no longer those of the template."""
        with self._engine.connect() as connection:
            return bool(connection.exec_driver_sql("SELECT kept.reset()").scalar())

    def close(self) -> None:
        self._engine.dispose()


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
