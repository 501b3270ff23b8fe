"""The keeper's process: one for each database, started by ``serve``; it sleeps until something is due or asked for."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from functools import cached_property
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

import sqlalchemy as sa
from flask import Flask
from sqlalchemy import orm

from app import create_app
from app.config import Config
from app.keeper.backups import drop_oldest, write_backup
from app.keeper.paper import BusyError, write_paper
from app.safekeeping import services
from app.safekeeping.models import Kept, Safekeeping
from app.shared import companion
from app.shared.clock import Clock, utc_now
from app.shared.errors import PlainError
from app.shared.folders import plain_reason
from app.shared.lease import HeldLease
from app.shared.words import gettext, use_zone
from app.stations import queries as station_queries

KEEPER: Final = "keeper"
"""The lease of the process that writes paper files and backups."""

log = logging.getLogger(__name__)


class LeaseLostError(Exception):
    """Another keeper took over, because this one was held up for too long."""


class Keeper:
    """What one keeper does each time it wakes; ``clock`` is the present."""

    def __init__(self, config: Config, *, holder: str, clock: Clock = utc_now) -> None:
        self._config = config
        self._clock = clock
        self._holder = holder

    @cached_property
    def _app(self) -> Flask:
        return create_app(self._config, CLOCK=self._clock)

    @cached_property
    def _lease(self) -> HeldLease:
        return HeldLease(self._engine, KEEPER, self._holder)

    @property
    def _engine(self) -> sa.Engine:
        engine: sa.Engine = self._app.extensions["lotwright_engine"]
        return engine

    def wake(self) -> list[Kept]:
        """Write what is due or was asked for, where the lease is held; return what was tried."""
        now = self._clock()
        if not self._lease.hold(now):
            return []
        with orm.Session(self._engine, expire_on_commit=False) as session:
            due = services.due_now(session, now)
        for row in due:
            self._try(row)
        return [row.kept for row in due]

    def leave(self) -> None:
        """Let another keeper take over at once."""
        self._lease.leave()
        self._engine.dispose()

    def _try(self, row: Safekeeping) -> None:
        """Write one of the two and note how that went; what fails is noted, not raised."""
        now = self._clock()
        write = {Kept.PAPER: self._write_paper, Kept.BACKUP: self._write_backup}[row.kept]
        with self._in_the_shop(), orm.Session(self._engine) as session:
            try:
                name = write(row, now)
            except (BusyError, LeaseLostError):  # somebody else does it; the next look shows whether it was done
                return
            except PlainError as error:
                services.note_failed(session, row.kept, at=now, reason=str(error))
            except OSError as error:
                services.note_failed(session, row.kept, at=now, reason=plain_reason(error, Path(row.folder)))
            except Exception:
                log.exception("The %s could not be written.", row.kept.value)
                reason = gettext("Lotwright made a mistake; the log on the shop PC has it.")
                services.note_failed(session, row.kept, at=now, reason=reason)
            else:
                services.note_done(session, row.kept, shown=now, name=name)

    @contextmanager
    def _in_the_shop(self) -> Iterator[None]:
        """Say times as the shop's clock shows them."""
        with self._app.app_context():
            with orm.Session(self._engine) as session:
                use_zone(station_queries.shop_zone(session))
            yield

    def _write_paper(self, row: Safekeeping, now: datetime) -> str:
        return write_paper(self._app, Path(row.folder), now, self._sign_of_life)

    def _write_backup(self, row: Safekeeping, now: datetime) -> str:
        with orm.Session(self._engine) as session:
            shop = station_queries.shop(session)
            name, zone = shop.name, ZoneInfo(shop.time_zone)
        folder = Path(row.folder)
        written = write_backup(self._engine.url, folder, name, now.astimezone(zone), self._sign_of_life)
        drop_oldest(folder, name, row.most_kept)
        return written

    def _sign_of_life(self, _done: int, _total: int) -> None:
        if not self._lease.hold(self._clock()):
            raise LeaseLostError


def run(config: Config, parent: Connection, holder: str) -> None:
    """Work until the parent lets go of its end of the pipe: the entry of the keeper's own process."""
    companion.prepare("keeper")
    companion.let_others_go_first()
    keeper = Keeper(config, holder=holder)
    while not companion.parent_is_gone(parent):
        wake_safely(keeper)
    try:
        keeper.leave()
    except sa.exc.SQLAlchemyError:
        log.warning("The keeper's lease could not be given up; it runs out by itself.")


def wake_safely(keeper: Keeper) -> None:
    """Let the keeper do its work; an error is logged and ends nothing."""
    try:
        keeper.wake()
    except Exception:
        log.exception("The keeper could not look for what is due.")


def start(config: Config, *, after_s: float = 0) -> companion.Companion:
    """Start the keeper of a database in a process of its own, see ``companion.start``, and return its handle."""
    return companion.start("keeper", run, config, after_s=after_s)
