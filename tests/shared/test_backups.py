"""A backup is whole, read back, and of the database's revision; what is not sound leaves nothing behind."""

import shutil
import sqlite3
import subprocess
from contextlib import closing

import pytest
import sqlalchemy as sa

from app.shared import backups
from app.shared.backups import BackupError, backup_suffix, make_backup
from tests.factories.stations import ShopFactory


@pytest.fixture
def url(database_url):
    return sa.make_url(database_url)


def kept_shop(file, url):
    """Return the name of the shop in a backup."""
    if url.get_backend_name() == "sqlite":
        with closing(sqlite3.connect(file)) as copy:
            return copy.execute("SELECT name FROM shop").fetchone()[0]
    command = [shutil.which("pg_restore"), "--data-only", "--table=shop", "--file=-", str(file)]
    said = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    return "Kept Shop" if "Kept Shop" in said else said


def test_a_backup_is_whole_and_alone_and_tells_how_far_it_is(session, url, tmp_path):
    ShopFactory(name="Kept Shop")
    told = []
    folder = tmp_path / "backups"
    folder.mkdir()
    file = folder / f"monday.{backup_suffix(url)}"
    make_backup(url, file, lambda done, total: told.append((done, total)))
    assert kept_shop(file, url) == "Kept Shop"
    assert list(folder.iterdir()) == [file]
    assert told
    assert all(0 <= done <= total for done, total in told)


def test_it_never_overwrites(session, url, tmp_path):
    file = tmp_path / "monday"
    file.write_text("something else")
    with pytest.raises(BackupError, match="exists already"):
        make_backup(url, file)
    assert file.read_text() == "something else"


def test_a_missing_folder_is_said(session, url, tmp_path):
    with pytest.raises(BackupError, match="does not exist"):
        make_backup(url, tmp_path / "gone" / "monday")


def test_a_copy_that_is_not_of_the_databases_revision_is_not_kept(session, url, tmp_path, monkeypatch):
    folder = tmp_path / "backups"
    folder.mkdir()
    if url.get_backend_name() == "sqlite":
        checked = backups._check_sqlite
        monkeypatch.setattr(backups, "_check_sqlite", lambda file, _revision: checked(file, "9999"))
    else:
        monkeypatch.setattr(backups, "_rows", lambda _dump: [])
    with pytest.raises(BackupError, match="not sound"):
        make_backup(url, folder / "monday")
    assert list(folder.iterdir()) == []


def test_what_a_killed_process_left_does_not_stop_the_next(session, url, tmp_path):
    ShopFactory(name="Kept Shop")
    folder = tmp_path / "backups"
    folder.mkdir()
    (folder / ".unfinished-monday").write_bytes(b"half a copy")
    make_backup(url, folder / "monday")
    assert kept_shop(folder / "monday", url) == "Kept Shop"
    assert [each.name for each in folder.iterdir()] == ["monday"]


def test_a_damaged_copy_is_found(session, url, tmp_path):
    if url.get_backend_name() != "sqlite":
        pytest.skip("pg_restore reads its own format")
    file = tmp_path / "copy.sqlite3"
    make_backup(url, file)
    with closing(sqlite3.connect(file)) as copy:
        [head] = copy.execute("SELECT version_num FROM alembic_version").fetchone()
        [page] = copy.execute("SELECT rootpage FROM sqlite_schema WHERE name = 'lot_operation'").fetchone()
    backups._check_sqlite(file, head)
    with file.open("r+b") as damaged:
        damaged.seek((page - 1) * 4096)
        damaged.write(b"\xff" * 4096)
    with pytest.raises(BackupError, match="not sound"):
        backups._check_sqlite(file, head)


def test_a_program_that_fails_says_why(session, url, tmp_path):
    if url.get_backend_name() == "sqlite":
        pytest.skip("SQLite copies itself")
    with pytest.raises(BackupError, match="does not exist"):
        make_backup(url.set(database="no_such_database"), tmp_path / "monday")
    assert list(tmp_path.iterdir()) == []


def test_a_missing_program_is_said(session, url, tmp_path, monkeypatch):
    if url.get_backend_name() == "sqlite":
        pytest.skip("SQLite copies itself")
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(BackupError, match="pg_dump is not on this computer's path"):
        make_backup(url, tmp_path / "monday")
