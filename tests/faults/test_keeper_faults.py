"""The keeper when things go wrong: killed, two at once, without its parent, a folder that is gone, a full disk."""

import errno
import multiprocessing
import sqlite3
from contextlib import closing
from datetime import timedelta

import pytest
import sqlalchemy as sa
from sqlalchemy import orm

from app.keeper import process as keeper_module
from app.keeper.process import KEEPER, Keeper, start
from app.safekeeping.models import Kept, Safekeeping
from app.safekeeping.services import TRY_AGAIN_AFTER, ask_for_one
from app.shared.clock import utc_now
from app.shared.lease import STALE_AFTER, Lease
from tests.factories.lots import make_lot
from tests.factories.safekeeping import want_backup, want_paper
from tests.factories.stations import ShopFactory


@pytest.fixture
def paper(tmp_path):
    return tmp_path / "paper"


@pytest.fixture
def backups(tmp_path):
    return tmp_path / "backups"


@pytest.fixture
def shop(session):
    ShopFactory(name="Harbor Lane Machine")
    make_lot(session)


@pytest.fixture
def keeper(config, session, shop, clock):
    keeper = Keeper(config, holder="test", clock=clock)
    yield keeper
    keeper.leave()


def stored(engine, kept):
    with orm.Session(engine, expire_on_commit=False) as session:
        return session.get_one(Safekeeping, kept)


def holder(engine):
    with orm.Session(engine) as session:
        return session.scalars(sa.select(Lease.holder).where(Lease.work == KEEPER)).one_or_none()


def whole(folder):
    """Say whether the folder's index leads to a set whose every file is there."""
    index = folder / "index.html"
    links = [part.split('"', 1)[0] for part in index.read_text(encoding="utf-8").split('href="')[1:]]
    return links and all((folder / link).is_file() for link in links if not link.startswith("#"))


def test_it_writes_what_is_due_and_sleeps_until_the_next_time(keeper, engine, session, clock, paper, backups):
    want_paper(session, paper, clock.now)
    want_backup(session, backups, clock.now)
    assert set(keeper.wake()) == {Kept.PAPER, Kept.BACKUP}
    assert whole(paper)
    suffix = "sqlite3" if engine.dialect.name == "sqlite" else "dump"
    assert [each.name for each in backups.iterdir()] == [f"harbor-lane-machine-2026-01-07-0900.{suffix}"]
    clock.forward(hours=5, seconds=-1)
    assert keeper.wake() == []
    clock.forward(seconds=1)
    assert keeper.wake() == [Kept.PAPER]
    assert stored(engine, Kept.PAPER).done_name == "lotwright-2026-01-07-1400"
    assert whole(paper)


def test_over_the_change_to_summer_time_each_comes_once_a_day(keeper, engine, session, clock, backups):
    """The United States' clocks go forward on 8 March 2026 (15 U.S.C. 260a); 18:30 there is an hour earlier in UTC."""
    clock.forward(days=58)
    want_backup(session, backups, clock.now)
    tried = 0
    for _hour in range(72):
        clock.forward(hours=1)
        tried += len(keeper.wake())
    assert tried == 4  # the first at once, then Friday, Saturday and Sunday evening
    names = sorted(each.stem[-15:] for each in backups.iterdir())
    assert names == ["2026-03-06-1900", "2026-03-07-1900", "2026-03-08-1900"]


def test_the_oldest_backups_go_and_other_files_stay(keeper, session, clock, backups):
    want_backup(session, backups, clock.now)
    (backups / "harbor-lane-machine-old.sqlite3").write_text("made by hand")
    (backups / "other-shop-2026-01-01-1830.sqlite3").write_text("another shop's")
    for _day in range(5):
        keeper.wake()
        clock.forward(days=1)
    ours = sorted(each.name[20:35] for each in backups.glob("harbor-lane-machine-2026*"))
    assert ours == ["2026-01-09-0900", "2026-01-10-0900", "2026-01-11-0900"]
    assert len(list(backups.iterdir())) == 5


def test_two_backups_of_one_minute_have_names_apart(keeper, session, clock, backups):
    want_backup(session, backups, clock.now)
    keeper.wake()
    ask_for_one(session, Kept.BACKUP, clock.now)
    keeper.wake()
    assert len(list(backups.iterdir())) == 2


def test_a_folder_that_is_gone_is_noted_and_tried_again(keeper, engine, session, clock, paper, backups):
    want_paper(session, paper, clock.now)
    want_backup(session, backups, clock.now)
    paper.rename(paper.with_name("unplugged"))
    backups.rename(backups.with_name("unplugged too"))
    assert set(keeper.wake()) == {Kept.PAPER, Kept.BACKUP}
    for kept, says in ((Kept.PAPER, "plugged in"), (Kept.BACKUP, "does not exist")):
        row = stored(engine, kept)
        assert row.failed_at == clock.now
        assert says in row.failure
        assert row.done_at is None
    paper.with_name("unplugged").rename(paper)
    assert keeper.wake() == []
    clock.forward(seconds=TRY_AGAIN_AFTER.total_seconds())
    assert set(keeper.wake()) == {Kept.PAPER, Kept.BACKUP}
    assert stored(engine, Kept.PAPER).failure == ""
    assert whole(paper)


def test_a_full_disk_is_noted_and_the_files_before_stay(keeper, engine, session, clock, paper, monkeypatch):
    want_paper(session, paper, clock.now)
    keeper.wake()
    before = stored(engine, Kept.PAPER)
    clock.forward(days=1)

    def full(*_arguments):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("app.keeper.file_set._write", full)
    keeper.wake()
    row = stored(engine, Kept.PAPER)
    assert "is full" in row.failure
    assert (row.done_at, row.done_name) == (before.done_at, before.done_name)
    assert whole(paper)


def test_a_mistake_of_the_program_is_noted_without_its_trace(
    keeper, engine, session, clock, paper, monkeypatch, caplog
):
    want_paper(session, paper, clock.now)
    monkeypatch.setattr("app.keeper.paper.morning", lambda *_arguments: 1 / 0)
    keeper.wake()
    assert stored(engine, Kept.PAPER).failure == "Lotwright made a mistake; the log on the shop PC has it."
    assert "ZeroDivisionError" in caplog.text


def test_of_two_keepers_at_once_one_writes(config, engine, session, shop, clock, paper):
    want_paper(session, paper, clock.now)
    first, second = (Keeper(config, holder=name, clock=clock) for name in ("first", "second"))
    assert first.wake() == [Kept.PAPER]
    ask_for_one(session, Kept.PAPER, clock.now)
    assert second.wake() == []
    clock.forward(seconds=STALE_AFTER.total_seconds())
    assert second.wake() == [Kept.PAPER]
    clock.forward(seconds=STALE_AFTER.total_seconds() / 2)
    assert first.wake() == []
    first.leave()
    assert holder(engine) == "second"
    second.leave()


def test_a_keeper_that_was_held_up_and_overtaken_while_it_writes_stops(config, engine, session, shop, clock, paper):
    want_paper(session, paper, clock.now)
    slow, other = (Keeper(config, holder=name, clock=clock) for name in ("slow", "other"))
    sign = slow._sign_of_life
    slept = []

    def sleep_once(done, total):
        if not slept:
            slept.append(True)
            clock.forward(seconds=STALE_AFTER.total_seconds())
            assert other.wake() == [Kept.PAPER]  # it finds the files being written and leaves them alone
        sign(done, total)

    slow._sign_of_life = sleep_once
    slow.wake()
    assert stored(engine, Kept.PAPER).done_at is None
    assert not (paper / "index.html").exists()
    assert other.wake() == [Kept.PAPER]
    assert whole(paper)
    slow.leave()
    other.leave()


def test_before_there_is_a_shop_it_waits(config, session, clock, engine):
    keeper = Keeper(config, holder="test", clock=clock)
    assert keeper.wake() == []
    keeper.leave()


def test_an_error_outside_of_the_writing_is_logged_and_ends_nothing(keeper, monkeypatch, caplog):
    monkeypatch.setattr("app.safekeeping.services.due_now", lambda *_arguments: 1 / 0)
    keeper_module.wake_safely(keeper)
    assert "could not look for what is due" in caplog.text


def test_a_keeper_that_is_killed_is_started_again_and_catches_up(config, engine, session, shop, until, paper):
    want_paper(session, paper, utc_now())
    process = start(config)
    try:
        until(lambda: stored(engine, Kept.PAPER).done_at)
        first, had_lease = process.pid, holder(engine)
        next(child for child in multiprocessing.active_children() if child.pid == first).kill()
        asked = utc_now()
        ask_for_one(session, Kept.PAPER, asked)
        until(lambda: stored(engine, Kept.PAPER).asked_at is None)
        assert process.pid not in {None, first}
        assert holder(engine) == had_lease
        assert whole(paper)
    finally:
        process.stop()
    assert holder(engine) is None


def test_the_keeper_ends_when_its_parent_is_killed(config, engine, session, shop, until, backups, parent_of):
    want_backup(session, backups, utc_now())
    parent = parent_of("app.keeper.process")
    until(lambda: stored(engine, Kept.BACKUP).done_at)
    parent.kill()
    parent.communicate()
    until(lambda: holder(engine) is None)  # it gave up its lease on its way out
    [file] = backups.iterdir()
    if engine.dialect.name == "sqlite":
        with closing(sqlite3.connect(file)) as copy:
            assert copy.execute("SELECT name FROM shop").fetchall() == [("Harbor Lane Machine",)]


def test_reading_while_sets_are_replaced_never_finds_half_a_set(keeper, session, clock, paper, monkeypatch):
    want_paper(session, paper, clock.now)
    keeper.wake()
    seen = []
    written = keeper._sign_of_life
    monkeypatch.setattr(keeper, "_sign_of_life", lambda *args: (seen.append(bool(whole(paper))), written(*args)))
    for _set in range(3):
        clock.forward(seconds=timedelta(minutes=1).total_seconds())
        ask_for_one(session, Kept.PAPER, clock.now)
        keeper.wake()
        seen.append(bool(whole(paper)))
    assert len(seen) > 9
    assert all(seen)
