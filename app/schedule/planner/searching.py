"""The search for a better order of work, beside the forecasts: a thread that searches, and the notes it leaves.

Only the planner's own loop writes to the database; the thread has a snapshot and nothing else. Where the planner ends
in the middle of a search, its successor begins it again.
"""

import logging
import os
import threading
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import chain, product
from math import inf
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.chances.choosing import least_tardy, live_through_plans
from app.core.chances.simulation import PLAIN_REPLAYER, Difference, Replayer, Simulation, difference
from app.core.chances.uncertainty import Uncertainty
from app.core.planning.forecasts import forecast
from app.core.planning.next_shift import changed_starts, next_shift_ends
from app.core.planning.ranked import Ranks, late_lots, ranks_in, ranks_until, weighted_lateness, with_ranks, worth
from app.core.planning.results import Forecast, Run
from app.core.planning.search import Effort, improve
from app.schedule import queries, services
from app.schedule.models import CameTo, OrderSearch, Stage
from app.schedule.planner.answers import replications
from app.schedule.queries import Snapshot
from app.shared.database import one_state
from app.stations import queries as station_queries

ROUNDS: Final = 4
"""A search is made of so many, each with its own seed and each from the best order so far."""
MOST_SEARCHES: Final = 4
MOST_COMPARED: Final = 20
"""So many of the best orders are lived through before one of them is proposed."""
SHORTENED: Final = 8
"""So many of them are lived through with fewer ranks as well,"""
AHEAD: Final = tuple(days * 86_400 for days in (1, 2))
"""those of what begins in so many seconds from now. What an order says of later days is worth less than due dates are:
by then other orders have come, and nobody keeps to an old one who can look for a new one every morning."""
PLAIN_COMPARED: Final = 20
"""So many replications compare orders where no kernel is compiled: nobody waits for that."""
SEED: Final = 20_261_128

log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Budget:
    """How much to search: seconds of the clock, or moves of each round, which always find the same."""

    seconds: float
    moves: int | None = None


@dataclass(frozen=True, slots=True)
class Good:
    """An order of work that is better than the one in force, and what dispatching by it comes to."""

    forecast: Forecast
    ranks: Ranks
    changed: int
    """So many lots begin at a station before its next shift ends only by it, or only by the order in force."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """The order to propose: the good one with the least mean weighted tardiness.

    ``before`` are the replications of the order in force, ``after`` its own; ``compared`` orders were to choose from.
    """

    good: Good
    before: Simulation
    after: Simulation
    compared: int

    @property
    def gain(self) -> Difference:
        """Return by how much the mean weighted tardiness of the order in force is above its own."""
        return difference(self.before, self.after)


class Search:
    """One search over a snapshot, in a thread of its own."""

    def __init__(self, snapshot: Snapshot, budget: Budget, uncertainty: Uncertainty, replayer: Replayer) -> None:
        self.snapshot = snapshot
        self.before: Forecast | None = None
        self.good: list[Good] = []
        """The best orders so far, each another one, the best first."""
        self.compared: list[Good] = []
        """Those that were lived through to choose from."""
        self.chosen: Chosen | None = None
        self.failed = False
        self._budget, self._uncertainty, self._replayer = budget, uncertainty, replayer
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
        shop, best = self.snapshot.shop, self.good[0].forecast if self.good else self.before
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
        shop, engine = self.snapshot.shop, self._replayer.engine
        self.before = forecast(shop, engine)
        searches = 1 if self._replayer is PLAIN_REPLAYER else min(MOST_SEARCHES, os.cpu_count() or 1)
        for number in range(ROUNDS):
            if self._stopped.is_set():
                break
            effort = Effort(self._budget.moves, self._budget.seconds / ROUNDS, searches, number + 1, self._clock)
            begin = with_ranks(shop, self.good[0].ranks) if self.good else shop
            for ranks in improve(begin, effort, engine, by_ranks=True).ranks:
                self._take(ranks)
            self._rounds = number + 1
        self._choose()

    def _take(self, ranks: Ranks) -> None:
        """Keep an order among the best ones if it is better than the one in force and not one of them already."""
        good, shop = self._good(ranks, self.good), self.snapshot.shop
        if good is not None:
            self.good.append(good)
            self.good = sorted(self.good, key=lambda each: (worth(shop, each.forecast), each.changed))[:MOST_COMPARED]

    def _good(self, ranks: Ranks, known: Iterable[Good]) -> Good | None:
        """Return what comes of ranks, or None where that is known or no better than the order in force."""
        shop, before = self.snapshot.shop, self.before
        if before is None or any(each.ranks == ranks for each in known):
            return None
        # What stations make of them that go by ranks alone.
        found = forecast(with_ranks(shop, ranks), self._replayer.engine)
        if worth(shop, found) >= worth(shop, before):
            return None
        return Good(found, ranks, changed_starts(next_shift_ends(shop), _runs(before), _runs(found)))

    def _choose(self) -> None:
        """Choose among the best orders the one that is least late on average, if it beats the order in force there."""
        if not self.good:
            return
        shop, count = self.snapshot.shop, replications(self._replayer, plain=PLAIN_COMPARED)
        shorter = self._shortened()
        self.compared = [*self.good[: MOST_COMPARED - len(shorter)], *shorter]
        plans = [*(each.ranks for each in self.compared), ranks_in(shop)]
        lived = live_through_plans(shop, self._uncertainty, plans, self._replayer, seed=SEED, replications=count)
        before = lived.pop()
        place = least_tardy(lived)
        if lived[place].expected_tardiness < before.expected_tardiness:
            self.chosen = Chosen(self.compared[place], before, lived[place], len(self.compared))

    def _shortened(self) -> list[Good]:
        """Return the best orders with no ranks but those of what begins soon, where they are still better."""
        shop, found = self.snapshot.shop, list[Good]()
        for each, ahead in product(self.good[:SHORTENED], AHEAD):
            ranks = ranks_until(shop, each.ranks, each.forecast, shop.now + ahead)
            good = self._good(ranks, (*self.good, *found))
            if good is not None:
                found.append(good)
        return found


def _runs(found: Forecast) -> Iterator[Run]:
    """Return what each station does."""
    return chain.from_iterable(found.stations.values())


class Searching:
    """What the planner's loop does about searches; ``moves`` has each round try so many instead of going by time."""

    def __init__(
        self,
        engine: sa.Engine,
        holder: str,
        history: Callable[[Snapshot], queries.History],
        *,
        moves: int | None = None,
    ) -> None:
        self._engine, self._holder, self._history, self._moves = engine, holder, history, moves
        self._search: Search | None = None

    def tend(self, now: datetime, replayer: Replayer) -> None:
        """Begin a search that was asked for, note how far the one under way is, or end it."""
        with orm.Session(self._engine) as session:
            row = session.scalars(sa.select(OrderSearch)).one_or_none()
            wanted = row is not None and row.stage in {Stage.ASKED, Stage.RUNNING}
        if self._search is not None:
            self._follow(self._search, now)
        elif wanted:
            self._begin(now, replayer)

    def wait(self) -> None:
        """Wait until the search under way has ended; its end is noted when it is tended next."""
        if self._search is not None:
            self._search.join()

    def _begin(self, now: datetime, replayer: Replayer) -> None:
        with one_state(self._engine) as session:
            seconds = station_queries.shop(session).search_seconds
            snapshot = queries.read_snapshot(session, now)
        uncertainty = queries.uncertainty_of(snapshot, self._history(snapshot))
        self._search = Search(snapshot, Budget(seconds, self._moves), uncertainty, replayer)
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
        with orm.Session(self._engine) as session:
            ended = None if search.failed else _ended(search, queries.asked_gain_s(session))
            services.end_search(session, self._holder, ended, now)


def _ended(search: Search, least_s: int) -> services.Ended:
    """Return how a search ended: with a proposal where its order gains more than so many seconds."""
    chosen, before, proposal = search.chosen, search.before, None
    came_to = CameTo.NOT_ON_AVERAGE if search.good else CameTo.NOTHING_BETTER
    if chosen is not None and before is not None:
        proposal, came_to = _proposal(search.snapshot, before, chosen), CameTo.PROPOSED
        if proposal["late_seconds_before"] - proposal["late_seconds_after"] <= least_s:
            proposal, came_to = None, CameTo.TOO_LITTLE
    return services.Ended(search.standing, came_to, least_s, proposal)


def _proposal(snapshot: Snapshot, before: Forecast, chosen: Chosen) -> dict[str, Any]:
    """Return the columns of what a search proposes."""
    return queries.proposal_values(snapshot, before, chosen.good.forecast, chosen.good.ranks) | {
        "expected_seconds_before": round(chosen.before.expected_tardiness),
        "expected_seconds_after": round(chosen.after.expected_tardiness),
        "expected_error": round(chosen.gain.standard_error),
        "plans_compared": chosen.compared,
    }
