"""Folders that a person chose: refused with what to do, and failures in plain words."""

import errno
import os
import sqlite3
from pathlib import Path

import pytest

from app.shared.folders import FolderError, plain_reason, usable_folder

CHECKOUT = Path(__file__).resolve().parents[2]


def test_a_folder_that_can_be_used_is_given_back_whole_and_left_as_it_was(tmp_path):
    assert usable_folder(f"{tmp_path}/", checkout=CHECKOUT) == tmp_path.resolve()
    assert list(tmp_path.iterdir()) == []


def test_the_users_own_folder_may_be_written_short(tmp_path, monkeypatch):
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    (tmp_path / "paper").mkdir()
    assert usable_folder("~/paper", checkout=CHECKOUT) == (tmp_path / "paper").resolve()


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("paper", "whole path"),
        ("/no/such/folder", "Make it first"),
        (str(CHECKOUT / "static"), "update may replace"),
        (str(CHECKOUT), "update may replace"),
        (f"{CHECKOUT}/static/../app", "update may replace"),
        ("/" + "x" * 300, "failed"),
        ("/a\0b", "folder"),
        ("~nobody-of-that-name/x", "failed"),
        (str(CHECKOUT / "README.md"), "is a file"),
    ],
)
def test_another_is_refused_with_what_to_do(typed, says):
    with pytest.raises(FolderError, match=says):
        usable_folder(typed, checkout=CHECKOUT)


def test_a_link_into_the_checkout_is_seen_through(tmp_path):
    link = tmp_path / "paper"
    link.symlink_to(CHECKOUT / "static", target_is_directory=True)
    with pytest.raises(FolderError, match="update may replace"):
        usable_folder(str(link), checkout=CHECKOUT)


def test_a_folder_that_may_not_be_written_to_is_refused(tmp_path, monkeypatch):
    def refuse(*_args, **_options):
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr("tempfile.NamedTemporaryFile", refuse)
    with pytest.raises(FolderError, match="may not write"):
        usable_folder(str(tmp_path), checkout=CHECKOUT)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="the superuser may write everywhere")
def test_the_systems_own_refusal_is_heard(tmp_path):
    tmp_path.chmod(0o500)
    with pytest.raises(FolderError, match="may not write"):
        usable_folder(str(tmp_path), checkout=CHECKOUT)


@pytest.mark.parametrize(
    ("error", "says"),
    [
        (OSError(errno.ENOSPC, "No space left on device"), "is full"),
        (FileNotFoundError(errno.ENOENT, "No such file or directory"), "plugged in"),
        (OSError(errno.EROFS, "Read-only file system"), "may not write"),
        (OSError(errno.EIO, "Input/output error"), "Input/output error"),
        (ValueError("odd"), "odd"),
    ],
)
def test_a_failure_is_said_in_plain_words(error, says):
    assert says in plain_reason(error, Path("/media/stick"))


def test_a_full_disk_is_known_from_sqlite_too(tmp_path):
    database = sqlite3.connect(tmp_path / "small.sqlite3")
    database.execute("PRAGMA max_page_count=2")
    database.execute("CREATE TABLE rows (text)")
    with pytest.raises(sqlite3.Error) as full:
        database.execute("INSERT INTO rows VALUES (zeroblob(100000))")
    database.close()
    assert "is full" in plain_reason(full.value, tmp_path)
