"""The chances of being late, beside the forecasts: a thread that replays a snapshot, and the loop that keeps them."""

import logging
import os
import threading
import time
from datetime import datetime, timedelta
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.chances.simulation import PLAIN_REPLAYER, REPLICATIONS, Replayer, Simulation, prepare, simulate
from app.core.chances.uncertainty import Uncertainty
from app.schedule import queries, services
from app.schedule.queries import Snapshot
from app.shared.database import one_state

PLAIN_REPLICATIONS: Final = 100
"""Plain Python takes some hundred times as long: fewer then, and a larger standard error, which is shown."""
SEED: Final = 20_261_126
"""The same luck in every run, so that a chance that moves does so because the shop has."""
LEARN_EVERY: Final = timedelta(hours=1)
SIMULATE_EVERY: Final = timedelta(minutes=2)

log = logging.getLogger(__name__)


class Replay:
    """One simulation of a snapshot, in a thread of its own."""

    def __init__(self, snapshot: Snapshot, uncertainty: Uncertainty, replayer: Replayer, replications: int) -> None:
        self.snapshot = snapshot
        self.simulation: Simulation | None = None
        self.took_ms = 0
        self._work = uncertainty, replayer, replications
        self._thread = threading.Thread(target=self._run, name="chances of being late", daemon=True)
        self._thread.start()

    @property
    def is_over(self) -> bool:
        """Say whether it has ended."""
        return not self._thread.is_alive()

    def join(self) -> None:
        """Wait until it has ended."""
        self._thread.join()

    def _run(self) -> None:
        uncertainty, replayer, replications = self._work
        began = time.perf_counter()
        threads = 1 if replayer is PLAIN_REPLAYER else min(2, os.cpu_count() or 1)
        try:
            ready = prepare(self.snapshot.shop, uncertainty, replayer)
            self.simulation = simulate(ready, seed=SEED, replications=replications, threads=threads)
        except Exception:
            log.exception("The chances of being late could not be simulated; the ones before stay.")
        self.took_ms = round((time.perf_counter() - began) * 1000)


class Chancing:
    """What the planner's loop does about chances."""

    def __init__(self, engine: sa.Engine, holder: str) -> None:
        self._engine, self._holder = engine, holder
        self._replay: Replay | None = None
        self._next: Snapshot | None = None
        self._simulated: tuple[int, datetime] | None = None
        self._learned: tuple[queries.History, datetime] | None = None

    def offer(self, snapshot: Snapshot) -> None:
        """Have the snapshot of a new forecast simulated when it is the turn of chances; the newest one counts."""
        self._next = snapshot

    def tend(self, replayer: Replayer, replications: int | None = None) -> None:
        """Keep what was simulated, once it is, and simulate the next snapshot where it is time for it."""
        if self._replay is not None and self._replay.is_over:
            self._keep(self._replay)
            self._replay = None
        snapshot = self._next
        if self._replay is not None or snapshot is None or not self._is_due(snapshot):
            return
        self._next = None
        history = self.history(snapshot)
        count = replications or (PLAIN_REPLICATIONS if replayer is PLAIN_REPLAYER else REPLICATIONS)
        self._replay = Replay(snapshot, queries.uncertainty_of(snapshot, history), replayer, count)
        self._simulated = (snapshot.change_number, snapshot.now)

    def _keep(self, replay: Replay) -> None:
        if replay.simulation is None or self._learned is None:
            return
        found = queries.Chances(replay.snapshot, replay.simulation, replay.took_ms, len(self._learned[0].work))
        with orm.Session(self._engine) as session:
            services.store_chances(session, found, holder=self._holder)

    def wait(self) -> None:
        """Wait until what is simulated has ended; it is kept when it is tended next."""
        if self._replay is not None:
            self._replay.join()

    def history(self, snapshot: Snapshot) -> queries.History:
        """Return what the books teach, read anew each hour."""
        if self._learned is None or not timedelta() <= snapshot.now - self._learned[1] < LEARN_EVERY:
            with one_state(self._engine) as session:
                self._learned = (queries.read_history(session, snapshot), snapshot.now)
        return self._learned[0]

    def _is_due(self, snapshot: Snapshot) -> bool:
        if self._simulated is None:
            return True
        number, then = self._simulated
        return number != snapshot.change_number or not timedelta() <= snapshot.now - then < SIMULATE_EVERY
