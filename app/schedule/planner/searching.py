"""The search for a better order of work, beside the forecasts: a thread that searches, and the notes it leaves.

Only the planner's own loop writes to the database; the thread has a snapshot and nothing else. Where the planner ends
in the middle of a search, its successor begins it again.
"""

import logging
import os
import threading
import time
from dataclasses import dataclass
from datetime import datetime
from math import inf
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.planning.decoding import PLAIN, Engine
from app.core.planning.forecasts import forecast
from app.core.planning.ranked import Ranks, late_lots, ranks_of, weighted_lateness, with_ranks, worth
from app.core.planning.results import Forecast
from app.core.planning.search import Effort, improve
from app.schedule import queries, services
from app.schedule.models import OrderSearch, Stage
from app.schedule.queries import Snapshot
from app.shared.database import one_state
from app.stations import queries as station_queries

ROUNDS: Final = 4
"""A search is made of so many, each with its own seed and each from the best order so far."""
MOST_SEARCHES: Final = 4
HOUR_S: Final = 3600

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Budget:
    """How much to search: seconds of the clock, or moves of each round, which always find the same."""

    seconds: float
    moves: int | None = None


class Search:
    """One search over a snapshot, in a thread of its own."""

    def __init__(self, snapshot: Snapshot, budget: Budget, engine: Engine) -> None:
        self.snapshot = snapshot
        self.before: Forecast | None = None
        self.best: tuple[Forecast, Ranks] | None = None
        self.failed = False
        self._budget, self._engine = budget, engine
        self._stopped = threading.Event()
        self._begun = time.monotonic()
        self._rounds = 0
        self._thread = threading.Thread(target=self._run, name="search for a better order", daemon=True)
        self._thread.start()

    @property
    def is_over(self) -> bool:
        """Say whether it has ended."""
        return not self._thread.is_alive()

    def stop(self) -> None:
        """Have it end with the best it has."""
        self._stopped.set()

    def join(self) -> None:
        """Wait until it has ended."""
        self._thread.join()

    @property
    def standing(self) -> services.Standing:
        """Return how far it is."""
        spent = (time.monotonic() - self._begun) / max(1.0, self._budget.seconds)
        share = 100 if self.is_over else min(99, round(100 * (self._rounds / ROUNDS if self._budget.moves else spent)))
        if self.before is None:
            return services.Standing(share)
        shop, best = self.snapshot.shop, self.best[0] if self.best else self.before
        return services.Standing(
            share,
            weighted_lateness(shop, self.before),
            weighted_lateness(shop, best),
            late_lots(shop, self.before),
            late_lots(shop, best),
        )

    def _clock(self) -> float:
        return inf if self._stopped.is_set() else time.monotonic()

    def _run(self) -> None:
        try:
            self._search()
        except Exception:
            log.exception("The search for a better order ended with an error.")
            self.failed = True

    def _search(self) -> None:
        shop = self.snapshot.shop
        self.before = forecast(shop, self._engine)
        searches = 1 if self._engine is PLAIN else min(MOST_SEARCHES, os.cpu_count() or 1)
        for number in range(ROUNDS):
            if self._stopped.is_set():
                return
            effort = Effort(self._budget.moves, self._budget.seconds / ROUNDS, searches, number + 1, self._clock)
            begin = shop if self.best is None else with_ranks(shop, self.best[1])
            ranks = ranks_of(improve(begin, effort, self._engine, by_ranks=True).plan)
            found = forecast(with_ranks(shop, ranks), self._engine)  # what stations make of it who go by ranks alone
            if worth(shop, found) < worth(shop, self.best[0] if self.best else self.before):
                self.best = (found, ranks)
            self._rounds = number + 1


class Searching:
    """What the planner's loop does about searches; ``moves`` has each round try so many instead of going by time."""

    def __init__(self, engine: sa.Engine, holder: str, *, moves: int | None = None) -> None:
        self._engine, self._holder, self._moves = engine, holder, moves
        self._search: Search | None = None

    def tend(self, now: datetime, decoder: Engine) -> None:
        """Begin a search that was asked for, note how far the one under way is, or end it."""
        with orm.Session(self._engine) as session:
            row = session.scalars(sa.select(OrderSearch)).one_or_none()
            wanted = row is not None and row.stage in {Stage.ASKED, Stage.RUNNING}
        if self._search is not None:
            self._follow(self._search, now)
        elif wanted:
            self._begin(now, decoder)

    def wait(self) -> None:
        """Wait until the search under way has ended; its end is noted when it is tended next."""
        if self._search is not None:
            self._search.join()

    def _begin(self, now: datetime, decoder: Engine) -> None:
        with one_state(self._engine) as session:
            seconds = station_queries.shop(session).search_seconds
            snapshot = queries.read_snapshot(session, now)
        self._search = Search(snapshot, Budget(seconds, self._moves), decoder)
        self._note(self._search, now)

    def _follow(self, search: Search, now: datetime) -> None:
        if search.is_over:
            self._search = None
            self._end(search, now)
        elif self._note(search, now):
            search.stop()

    def _note(self, search: Search, now: datetime) -> bool:
        with orm.Session(self._engine) as session:
            return services.note_search(session, self._holder, search.standing, now)

    def _end(self, search: Search, now: datetime) -> None:
        proposal = None
        with orm.Session(self._engine) as session:
            least_s = HOUR_S * station_queries.shop(session).plan_gain_hours
            if search.before is not None and search.best is not None:
                proposal = queries.proposal_values(search.snapshot, search.before, *search.best)
                if proposal["late_seconds_before"] - proposal["late_seconds_after"] <= least_s:
                    proposal = None
            standing = None if search.failed else search.standing
            services.end_search(session, self._holder, standing, proposal, now)
