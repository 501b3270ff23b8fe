"""The planner's process: the loop that computes a forecast when it is time and tends the search beside it."""

import logging
import threading
import time
from datetime import datetime, timedelta
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.config import Config, compiled_folder
from app.core.chances.simulation import PLAIN_REPLAYER, Replayer
from app.lots.services import count_hours
from app.schedule import queries, services
from app.schedule.planner.answering import Answering
from app.schedule.planner.chancing import Chancing
from app.schedule.planner.compiling import Stage, is_kept, make_ready
from app.schedule.planner.searching import Searching
from app.shared import companion
from app.shared.clock import Clock, utc_now
from app.shared.database import change_number, make_engine, one_state
from app.shared.lease import HeldLease
from app.stations import queries as station_queries

COMPUTE_EVERY: Final = timedelta(minutes=1)
"""The present moves on, so it computes anew after so long even where nothing has changed."""

LOADING_S: Final = 10
"""So long it waits for kept machine code before it begins: a plain answer beside the loading takes longer."""
ASKED_EVERY_S: Final = 0.25
"""It looks this often whether somebody asks something."""
ANSWER_EVERY_S: Final = 0.1
"""While somebody waits for an answer it looks this often whether it is there."""

log = logging.getLogger(__name__)


class Planner:
    """What one planner does each time it wakes; ``clock`` is the present, ``replayer`` the form of the kernels."""

    def __init__(
        self, engine: sa.Engine, *, holder: str, clock: Clock = utc_now, replayer: Replayer = PLAIN_REPLAYER
    ) -> None:
        self._engine = engine
        self._holder = holder
        self._clock = clock
        self._lease = HeldLease(engine, services.PLANNER, holder)
        self._computed: tuple[int, datetime] | None = None
        self.replayer = replayer
        self.compiling = False
        """Meanwhile searches and chances wait: plain Python takes far longer, and slows the compiler down."""
        self.chancing = Chancing(engine, holder)
        self.searching = Searching(engine, holder, self.chancing.history)
        self.answering = Answering(engine, holder, self.chancing.history)

    def wake(self) -> bool:
        """Compute and store a forecast where it is time for one and the lease is held; say whether one was stored.

        After an error the next try waits for a change or for the minute to pass.
        """
        now = self._clock()
        if not self._lease.hold(now):
            return False
        if not self.compiling:
            self.searching.tend(now, self.replayer)
            self.chancing.tend(self.replayer)
        self.answering.tend(now, self.replayer)
        if self.answering.comes_first(now) or not self._is_due(now):
            return False
        began = time.perf_counter()
        with orm.Session(self._engine) as session:
            count_hours(session, now)
        with one_state(self._engine) as session:
            if station_queries.find_shop(session) is None:
                return False
            snapshot = queries.read_snapshot(session, now)
        computed = queries.compute(snapshot, self.replayer.engine)
        took_ms = round((time.perf_counter() - began) * 1000)
        with orm.Session(self._engine) as session:
            stored = services.store_forecast(session, computed, holder=self._holder, took_ms=took_ms)
        self.chancing.offer(snapshot)
        return stored

    def leave(self) -> None:
        """Let another planner take over at once."""
        self._lease.leave()

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


def run(config: Config, parent: Connection, holder: str) -> None:
    """Work until the parent lets go of its end of the pipe: the entry of the planner's own process."""
    companion.prepare("planner")
    engine = make_engine(config.database_url)
    planner = Planner(engine, holder=holder)
    planner.compiling = True
    folder = compiled_folder(config.data_folder)
    answers_ready = threading.Event()
    threading.Thread(target=_compile_for, args=(planner, folder, answers_ready), daemon=True).start()
    if is_kept(Stage.ANSWERS, folder):
        answers_ready.wait(LOADING_S)
    while not companion.parent_is_gone(parent, ANSWER_EVERY_S if planner.answering.is_busy else ASKED_EVERY_S):
        wake_safely(planner)
    try:
        planner.leave()
    except sa.exc.SQLAlchemyError:
        log.warning("The planner's lease could not be given up; it runs out by itself.")
    engine.dispose()


def _compile_for(planner: Planner, folder: Path, answers_ready: threading.Event) -> None:
    """Have a planner go on with compiled kernels once there are any; until then it plans with the plain ones.

    Forecasts and answers, which people wait for, are compiled first, and told to be ready.
    """
    try:
        planner.replayer = make_ready(Stage.ANSWERS, folder) or PLAIN_REPLAYER
        answers_ready.set()
        make_ready(Stage.SEARCHES, folder)
    except Exception:
        log.exception("The kernels could not be compiled; the planner goes on with the plain ones.")
    answers_ready.set()
    planner.compiling = False


def wake_safely(planner: Planner) -> None:
    """Let the planner do its work; an error is logged and ends nothing."""
    try:
        planner.wake()
    except Exception:
        log.exception("The forecast could not be made; the one before stays.")


def start(config: Config) -> companion.Companion:
    """Start the planner of a database in a process of its own and return its handle; call ``stop`` at the end."""
    return companion.start("planner", run, config)
