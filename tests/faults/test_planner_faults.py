"""The planner when things go wrong: it is killed, meets another one, loses its parent, or fails on a forecast."""

import logging
import multiprocessing
from pathlib import Path

import pytest
import sqlalchemy as sa
from sqlalchemy import orm

from app.lots import services as lots
from app.schedule import planner as planner_module
from app.schedule import queries
from app.schedule.models import Forecast
from app.schedule.planner import Planner, start
from app.schedule.services import PLANNER
from app.shared.database import change_number, one_state
from app.shared.lease import Lease
from tests.factories.lots import act, make_lot
from tests.factories.stations import ShopFactory


@pytest.fixture
def lot(session):
    ShopFactory()
    return make_lot(session)


@pytest.fixture
def planner(config, lot):
    process = start(config)
    yield process
    process.stop()


def stored_number(engine):
    with orm.Session(engine) as session:
        return session.scalars(sa.select(Forecast.change_number)).one_or_none()


def holder(engine):
    with orm.Session(engine) as session:
        return session.scalars(sa.select(Lease.holder).where(Lease.work == PLANNER)).one_or_none()


def up_to_date(engine):
    with orm.Session(engine) as session:
        return stored_number(engine) == change_number(session)


def test_a_planner_that_is_killed_is_started_again_and_goes_on(planner, session, engine, lot, until):
    until(lambda: up_to_date(engine))
    first, had_lease = planner.pid, holder(engine)
    next(child for child in multiprocessing.active_children() if child.pid == first).kill()
    lots.hold_lot(session, act(), lot.id, "crack found")
    until(lambda: up_to_date(engine))
    assert planner.pid not in {None, first}
    assert holder(engine) == had_lease
    assert "crack found" in queries.lot_outlooks(session)[lot.id].obstacle["what"]


def test_a_planner_that_is_stopped_ends_and_leaves_the_lease_to_the_next(config, engine, lot, until):
    process = start(config)
    until(lambda: up_to_date(engine))
    process.stop()
    assert process.pid is None
    assert holder(engine) is None


def test_of_two_servers_on_one_database_one_plans_until_it_goes(config, session, engine, lot, until):
    first = start(config)
    until(lambda: up_to_date(engine))
    had_lease = holder(engine)
    second = start(config)
    try:
        lots.hold_lot(session, act(), lot.id, "crack found")
        until(lambda: up_to_date(engine))
        assert holder(engine) == had_lease
        first.stop()
        lots.release_lot_hold(session, act(), lot.id)
        until(lambda: up_to_date(engine))
        assert holder(engine) not in {None, had_lease}
    finally:
        first.stop()
        second.stop()


def test_the_planner_ends_when_its_parent_is_killed(config, engine, lot, until, parent_of):
    parent = parent_of("app.schedule.planner")
    planner_pid = int(parent.stdout.readline())
    until(lambda: up_to_date(engine))
    parent.kill()
    parent.communicate()
    until(lambda: holder(engine) is None)  # it gave up its lease on its way out
    until(lambda: not is_running(planner_pid))


def is_running(pid: int) -> bool:
    if not Path("/proc").is_dir():
        pytest.skip("needs /proc to see whether a process runs")
    try:
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except FileNotFoundError:
        return False
    return state != "Z"


def test_a_planner_that_slept_while_another_took_over_stores_nothing(engine, lot, clock):
    slept, other = (Planner(engine, holder=name, clock=clock) for name in ("slept", "other"))
    assert slept.wake()
    clock.forward(seconds=60)
    assert other.wake()
    clock.forward(seconds=61)
    assert other.wake()
    assert not slept.wake()
    assert holder(engine) == "other"


def test_an_error_is_logged_and_the_next_change_is_planned(engine, session, lot, clock, monkeypatch, caplog):
    failing = [ValueError("made to fail")]
    computed = queries.compute

    def compute(snapshot, _decoder):
        if failing:
            raise failing.pop()
        return computed(snapshot)

    monkeypatch.setattr(queries, "compute", compute)
    planner = Planner(engine, holder="test", clock=clock)
    with caplog.at_level(logging.ERROR):
        planner_module.wake_safely(planner)
    assert "The forecast could not be made" in caplog.text
    assert stored_number(engine) is None
    planner_module.wake_safely(planner)
    assert stored_number(engine) is None  # it does not try the same again each second
    lots.hold_lot(session, act(), lot.id, "crack found")
    planner_module.wake_safely(planner)
    assert up_to_date(engine)


def test_it_computes_anew_each_minute_because_time_goes_on(engine, session, lot, clock):
    planner = Planner(engine, holder="test", clock=clock)
    assert planner.wake()
    clock.forward(seconds=59)
    assert not planner.wake()
    clock.forward(seconds=1)
    assert planner.wake()
    assert session.get_one(Forecast, 1).computed_at == clock.now


def test_a_clock_that_was_put_back_does_not_stop_it(engine, lot, clock):
    planner = Planner(engine, holder="test", clock=clock)
    assert planner.wake()
    clock.forward(hours=-1)
    assert planner.wake()


def test_what_is_written_while_a_snapshot_is_read_is_not_half_in_it(engine, session, lot, now):
    with one_state(engine) as reading:
        number = change_number(reading)
        lots.hold_lot(session, act(), lot.id, "crack found")
        snapshot = queries.read_snapshot(reading, now)
    assert snapshot.change_number == number
    [read] = snapshot.shop.lots
    assert read.hold is None
