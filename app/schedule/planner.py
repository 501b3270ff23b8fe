"""The planner: one process for each database that keeps the stored forecast up to date.

``serve`` starts it with ``start``. It is a process of its own, so that computing never slows a page down. It ends with
its parent: it holds one end of a pipe whose other end only the parent has.
"""

import logging
import multiprocessing
import os
import secrets
import signal
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.config import Config
from app.schedule import queries, services
from app.shared.clock import Clock, utc_now
from app.shared.database import change_number, make_engine
from app.stations import queries as station_queries

LOOK_EVERY_S: Final = 1.0
"""How long it waits before it looks for changes again."""
COMPUTE_EVERY: Final = timedelta(minutes=1)
"""The present moves on, so it computes anew after so long even where nothing has changed."""
BEAT_EVERY: Final = timedelta(seconds=5)
"""How often it shows a sign of life."""
START_AGAIN_AFTER_S: Final = 2.0
"""How long its keeper waits before it starts one that has died anew."""

log = logging.getLogger(__name__)


class Planner:
    """What one planner does each time it wakes; ``clock`` is the present."""

    def __init__(self, engine: sa.Engine, *, holder: str, clock: Clock = utc_now) -> None:
        self._engine = engine
        self._holder = holder
        self._clock = clock
        self._beat_at: datetime | None = None
        self._holds_lease = False
        self._computed: tuple[int, datetime] | None = None

    def wake(self) -> bool:
        """Compute and store a forecast where it is time for one and the lease is held; say whether one was stored.

        After an error the next try waits for a change or for the minute to pass.
        """
        now = self._clock()
        if not self._has_lease(now) or not self._is_due(now):
            return False
        began = time.perf_counter()
        with one_state(self._engine) as session:
            if station_queries.find_shop(session) is None:
                return False
            snapshot = queries.read_snapshot(session, now)
        computed = queries.compute(snapshot)
        took_ms = round((time.perf_counter() - began) * 1000)
        with orm.Session(self._engine) as session:
            return services.store_forecast(session, computed, holder=self._holder, took_ms=took_ms)

    def leave(self) -> None:
        """Let another planner take over at once."""
        with orm.Session(self._engine) as session:
            services.give_up_lease(session, self._holder)

    def _has_lease(self, now: datetime) -> bool:
        if self._beat_at is None or not timedelta() <= now - self._beat_at < BEAT_EVERY:
            with orm.Session(self._engine) as session:
                self._holds_lease = services.hold_lease(session, self._holder, now)
            self._beat_at = now
        return self._holds_lease

    def _is_due(self, now: datetime) -> bool:
        """Say whether to compute, and note that it is being done."""
        with orm.Session(self._engine) as session:
            number = change_number(session)
        if self._computed is not None:
            last, then = self._computed
            if number == last and timedelta() <= now - then < COMPUTE_EVERY:
                return False
        self._computed = (number, now)
        return True


@contextmanager
def one_state(engine: sa.Engine) -> Iterator[orm.Session]:
    """Give a session whose reads all see one state of the database; it ends before anything is computed."""
    # On SQLite a read transaction is one state already.
    options = {} if engine.dialect.name == "sqlite" else {"isolation_level": "REPEATABLE READ"}
    with orm.Session(engine, expire_on_commit=False) as session:
        session.connection(execution_options=options)
        yield session


def run(config: Config, parent: Connection, holder: str) -> None:
    """Work until the parent lets go of its end of the pipe: the entry of the planner's own process."""
    # Ctrl-C reaches the whole group in a terminal; the parent ends first, and this process with it.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    logging.basicConfig(level=logging.INFO, format="%(asctime)s planner %(levelname)s %(message)s")
    engine = make_engine(config.database_url)
    planner = Planner(engine, holder=holder)
    while not _gone(parent):
        wake_safely(planner)
    try:
        planner.leave()
    except sa.exc.SQLAlchemyError:
        log.warning("The planner's lease could not be given up; it runs out by itself.")
    engine.dispose()


def wake_safely(planner: Planner) -> None:
    """Let the planner do its work; an error is logged and ends nothing."""
    try:
        planner.wake()
    except Exception:
        log.exception("The forecast could not be made; the one before stays.")


def _gone(parent: Connection) -> bool:
    """Wait a moment; say whether the parent has let go of the pipe meanwhile."""
    try:
        return parent.poll(LOOK_EVERY_S)  # nothing is ever sent: what comes is the end
    except OSError:
        return True


class PlannerProcess:
    """A planner in a process of its own, started again whenever it dies."""

    def __init__(self, config: Config) -> None:
        self._config = config
        # The same for one that is started anew: the lease of its dead forerunner is its own.
        self._holder = f"{socket.gethostname()}:{os.getpid()}:{secrets.token_hex(8)}"
        self._spawn = multiprocessing.get_context("spawn")
        self._stopping = threading.Event()
        self._process: BaseProcess | None = None
        self._ours: Connection | None = None
        self._keeper = threading.Thread(target=self._keep, name="planner keeper", daemon=True)

    @property
    def pid(self) -> int | None:
        """Return the number of the process that runs now."""
        return self._process.pid if self._process is not None and self._process.is_alive() else None

    def begin(self) -> None:
        """Start it."""
        self._start_process()
        self._keeper.start()

    def stop(self) -> None:
        """End it and wait until it has ended."""
        self._stopping.set()
        self._keeper.join()
        if self._ours is not None:
            self._ours.close()
        if self._process is not None:
            self._process.join(10)
            if self._process.is_alive():
                self._process.kill()
                self._process.join()

    def _start_process(self) -> None:
        theirs, self._ours = self._spawn.Pipe(duplex=False)
        arguments = (self._config, theirs, self._holder)
        # A daemon: the interpreter ends it at its exit, whatever ``serve`` forgets.
        process = self._spawn.Process(target=run, args=arguments, name="planner", daemon=True)
        process.start()
        theirs.close()
        self._process = process

    def _keep(self) -> None:
        """Start it again when it dies, until it is to stop."""
        while not self._stopping.wait(START_AGAIN_AFTER_S):
            if self._process is None or self._process.is_alive():
                continue
            log.warning("The planner ended with code %s; it is started again.", self._process.exitcode)
            if self._ours is not None:
                self._ours.close()
            self._start_process()


def start(config: Config) -> PlannerProcess:
    """Start the planner of a database in a process of its own and return its handle; call ``stop`` at the end."""
    process = PlannerProcess(config)
    process.begin()
    return process
