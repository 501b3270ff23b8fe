"""Backups: a whole copy of the database, read back before it counts, made while the program goes on running."""

import os
import shutil
import sqlite3
import subprocess
import tempfile
from contextlib import closing
from pathlib import Path

import sqlalchemy as sa

from app.shared.errors import PlainError
from app.shared.folders import plain_reason
from app.shared.progress import Progress, silent
from app.shared.words import gettext

PAGES_AT_A_TIME = 512
LOOK_EVERY_S = 1.0
"""How often a dump that runs is looked at."""


class BackupError(PlainError):
    """A backup that could not be made."""


class DumpError(Exception):
    """A program of PostgreSQL failed; says what it said last."""


def backup_suffix(url: sa.URL) -> str:
    """Return the ending of a backup's file name."""
    return "sqlite3" if url.get_backend_name() == "sqlite" else "dump"


def make_backup(url: sa.URL, file: Path, tell: Progress = silent) -> None:
    """Copy the database at ``url`` to ``file``, which must not exist yet, and read the copy back.

    It is written under another name and gets its own when it is found sound: no half file is ever taken for a backup.

    Raises:
        BackupError: the file exists, its folder is missing, the copy failed, or it is not sound.
    """
    if file.exists():
        raise BackupError(gettext("%(file)s exists already. Choose another name, or remove it first.", file=file))
    if not file.resolve().parent.is_dir():
        raise BackupError(gettext("The folder %(path)s does not exist. Make it first.", path=file.resolve().parent))
    unfinished = file.with_name(f".unfinished-{file.name}")
    try:
        unfinished.unlink(missing_ok=True)  # of a process that was killed
        if url.get_backend_name() == "sqlite":
            _copy_sqlite(Path(url.database or ""), unfinished, tell)
        else:
            _dump_postgres(url, unfinished, tell)
        unfinished.rename(file)
    except (OSError, sqlite3.Error, DumpError) as error:
        raise BackupError(
            gettext("The backup could not be made. %(reason)s", reason=plain_reason(error, file.parent))
        ) from error
    finally:
        _remove(unfinished)


def _remove(unfinished: Path) -> None:
    for each in (unfinished, unfinished.with_name(f"{unfinished.name}-journal")):
        try:
            each.unlink(missing_ok=True)
        except OSError:  # its drive is gone; the next backup removes it
            return


def _copy_sqlite(source: Path, file: Path, tell: Progress) -> None:
    if not source.exists():
        raise BackupError(gettext("There is no database at %(path)s yet.", path=source))
    with closing(sqlite3.connect(source)) as live:
        with closing(sqlite3.connect(file)) as copy:
            live.backup(copy, pages=PAGES_AT_A_TIME, progress=lambda _status, left, total: tell(total - left, total))
            copy.execute("PRAGMA journal_mode=DELETE")
        [revision] = live.execute("SELECT version_num FROM alembic_version").fetchone() or [None]
    _check_sqlite(file, revision)


def _check_sqlite(file: Path, revision: str | None) -> None:
    """Read a copy through.

    Raises:
        BackupError: SQLite finds a fault in it, or it is not of the revision that was copied.
    """
    try:
        with closing(sqlite3.connect(f"{file.resolve().as_uri()}?mode=ro", uri=True)) as copy:
            faults = [row[0] for row in copy.execute("PRAGMA integrity_check(3)") if row[0] != "ok"]
            [copied] = copy.execute("SELECT version_num FROM alembic_version").fetchone() or [None]
    except sqlite3.DatabaseError as error:
        faults, copied = [str(error)], revision
    _refuse_unsound(file, [*faults, *([] if copied == revision else [gettext("its schema is another")])])


def _refuse_unsound(file: Path, faults: list[str]) -> None:
    if faults:
        raise BackupError(
            gettext(
                "The copy in %(path)s was read back and is not sound (%(fault)s), so it was not kept. "
                "Check that disk, or choose another folder.",
                path=file.parent,
                fault="; ".join(faults),
            )
        )


def _dump_postgres(url: sa.URL, file: Path, tell: Progress) -> None:
    plain = url.set(drivername="postgresql", password=None).render_as_string()
    environment = {**os.environ, "PGPASSWORD": url.password or ""}
    _run([_program("pg_dump"), "--format=custom", f"--file={file}", plain], tell, environment)
    revision = "--table=alembic_version"
    read_back = _run([_program("pg_restore"), "--data-only", revision, "--file=-", str(file)], tell, environment)
    live = _run([_program("pg_dump"), "--data-only", revision, plain], tell, environment)
    same = _rows(read_back) == _rows(live) != []
    _refuse_unsound(file, [] if same else [gettext("its schema is another")])


def _rows(dump: str) -> list[str]:
    """Return the rows of a plain dump of one small table."""
    return dump.partition("FROM stdin;\n")[2].partition("\n\\.")[0].splitlines()


def _program(name: str) -> str:
    program = shutil.which(name)
    if program is None:
        raise BackupError(
            gettext(
                "%(program)s is not on this computer's path; it comes with PostgreSQL's client programs.", program=name
            )
        )
    return program


def _run(command: list[str], tell: Progress, environment: dict[str, str]) -> str:
    """Run a program and return what it printed, telling now and then that it still runs.

    Raises:
        DumpError: it failed.
    """
    with tempfile.TemporaryFile("w+", encoding="utf-8") as out, tempfile.TemporaryFile("w+", encoding="utf-8") as err:
        with subprocess.Popen(command, stdout=out, stderr=err, env=environment) as running:  # noqa: S603 - found on the path
            while running.poll() is None:
                tell(0, 1)
                _wait(running)
        out.seek(0)
        err.seek(0)
        if running.returncode:
            raise DumpError((err.read().strip().splitlines() or [f"{command[0]} failed"])[-1])
        return out.read()


def _wait(running: subprocess.Popen[bytes]) -> None:
    try:
        running.wait(LOOK_EVERY_S)
    except subprocess.TimeoutExpired:
        return
