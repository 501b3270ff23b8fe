"""Builds the demo's database: half a year lived through the program's own services, then one forecast."""

import gc
import random
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import click
import sqlalchemy as sa
from sqlalchemy import orm

from app.config import Config, sqlite_url
from app.lots.services import check_entries
from app.quality.services import refuse_undone_decision, refuse_unmeasured
from app.schedule.planner import Planner
from app.shared.database import make_engine, transaction
from app.shared.schema import upgrade
from seed_demo import shop
from seed_demo.bad_days import BadDays
from seed_demo.business import Office
from seed_demo.floor import Floor
from seed_demo.measuring import DRIFTS, GOES_OUT
from seed_demo.present import Present
from seed_demo.safekeeping import keep_safe
from seed_demo.second_thoughts import SecondThoughts
from seed_demo.set_up import set_up
from seed_demo.world import World

SEED = 20_260
HISTORY_DAYS = 182
ORDERS_PER_DAY = 0.62
ORDERS_LATELY = 2.6
STUD_LOTS_EVERY_DAYS = 24
ORDERED_FOR_SURE = {DRIFTS: (130, 85, 40), GOES_OUT: (60, 30)}
"""Days ago: so that a process drifts and a piece is found out of tolerance whatever the history brings."""
CHUNK = 5 * 86_400
"""Simulated seconds in one transaction."""


def build(config: Config, now: datetime | None = None, *, days: int = HISTORY_DAYS) -> None:
    """Build the demo shop at ``config.database_url`` (a SQLite file that does not exist yet).

    The file appears only when it is whole: what was interrupted leaves nothing behind.

    Args:
        config: where the database is to be.
        now: the demo's present; by default the real one. The same present gives the same shop.
        days: how much history to live through.
    """
    for check in (refuse_unmeasured, refuse_undone_decision):
        check_entries(check)  # as create_app does: the past has to pass what the program asks for
    target = Path(sa.make_url(config.database_url).database or "")
    unfinished = target.with_suffix(".unfinished")
    _remove(unfinished)
    engine = make_engine(sqlite_url(unfinished))
    sa.event.listen(engine, "connect", _do_not_wait_for_the_disk)
    gc.disable()  # it frees next to nothing here and takes a fifteenth of the time
    try:
        upgrade(engine)
        end = (now or datetime.now(UTC)).replace(microsecond=0)
        with orm.Session(engine) as session:
            _live(session, end, days)
        Planner(engine, holder="demo", clock=lambda: end).wake()
        Planner(engine, holder="demo").leave()
        keep_safe(replace(config, database_url=sqlite_url(unfinished)), target, end)
        with engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
        engine.dispose()
        unfinished.rename(target)
    finally:
        gc.enable()
        engine.dispose()
        _remove(unfinished)


def _do_not_wait_for_the_disk(connection: sa.engine.interfaces.DBAPIConnection, _record: object) -> None:
    """A build that is interrupted is thrown away, so nothing has to be safe on the disk before its end."""
    cursor = connection.cursor()
    cursor.execute("PRAGMA synchronous=OFF")
    cursor.close()


def _remove(file: Path) -> None:
    for each in (file, file.with_name(f"{file.name}-wal"), file.with_name(f"{file.name}-shm")):
        each.unlink(missing_ok=True)


def _live(session: orm.Session, end: datetime, days: int) -> None:
    begin = end - timedelta(days=days)
    with transaction(session):
        world = set_up(session, random.Random(SEED), begin, end)
        floor = Floor(world)
        office = Office(world, floor)
        floor.finished, floor.studs_in_stock = office.finished, office.studs_in_stock
        office.take_orders(ORDERS_PER_DAY, ORDERS_LATELY)
        office.stock_studs(STUD_LOTS_EVERY_DAYS)
        office.repeat_orders(ORDERED_FOR_SURE)
        present = Present(world, office, floor)
        present.plan()
        floor.measuring.plan()
        SecondThoughts(world, office, floor).plan()
        bad_days = BadDays(world, floor, present)
        bad_days.plan()
    with click.progressbar(length=days * 24, label="Living through half a year") as bar:
        while world.next_event_at() is not None:
            before = world.now
            _live_a_while(session, world)
            bar.update((world.now - before) // 3600)
    with transaction(session):
        world.now = world.arranged_from
        floor.measuring.measure_what_runs()
        floor.measuring.measure_one_in_hand(present)
        present.finish()
        bad_days.finish()


def _live_a_while(session: orm.Session, world: World) -> None:
    until = world.now + CHUNK
    with transaction(session):
        world.hold()
        while (due := world.next_event_at()) is not None and due <= max(until, world.now):
            world.step()
            until = max(until, world.now) if until < world.now else until
        if due is not None and due > until:
            world.now = min(due, world.end)


def how_to_sign_in() -> str:
    """Say who is who in the demo, and what to try first."""
    lines = [f"This is {shop.NAME}, an invented shop. Sign in to the office as:"]
    lines += [f"  {data.name}, password {data.password}" for data in shop.PEOPLE if data.password]
    lines.append("At a station (Floor in the menu) sign on with a badge from People > Badge sheet and a PIN:")
    lines += [f"  {data.name}, PIN {data.pin}" for data in shop.PEOPLE]
    lines.append("Look first at the morning review, then at a late lot, then at a station.")
    return "\n".join(lines)
