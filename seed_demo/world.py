"""The simulated shop: its clock, its waiting events, and what the simulation knows of each station and lot."""

import heapq
import itertools
import random
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.calendars import WorkCalendar
from app.lots.models import LotOperation
from app.lots.services import Act
from app.material.models import Vendor
from app.orders.models import Customer
from app.parts.models import OperationKind, Part, Revision
from app.people.models import Person
from app.shared.database import Model
from app.stations.models import Shop, Station, WorkCenter
from seed_demo.catalog import PartData
from seed_demo.shop import TIME_ZONE

Event = Callable[[], object]

STANDING: tuple[type[Model], ...] = (
    *(Shop, WorkCenter, Station, Person),
    *(OperationKind, Part, Revision, Customer, Vendor),
)
ARRANGED_S = 25 * 60
"""So long before the present the stations stop by themselves, and what a page is to show is arranged."""


@dataclass(slots=True)
class StationRun:
    """A station in the simulation: free from ``free_at``, last set up for ``family``."""

    id: int
    name: str
    work_center_id: int
    calendar: WorkCalendar
    free_at: int = 0
    runs: bool = False
    """Whether work is begun here whose end is still to come, also one that falls on this very second."""
    family: tuple[int, int] | None = None
    down_from: int | None = None
    """From this second on nothing is begun or finished here."""

    def is_down(self, second: int) -> bool:
        """Say whether the station is down at ``second``."""
        return self.down_from is not None and second >= self.down_from


@dataclass(slots=True)
class Work:
    """Pieces of a lot that wait at an operation of a station."""

    operation: LotOperation
    part: PartData
    ready_at: int
    due: int


@dataclass(slots=True)
class World:
    """Everything the simulation holds in its hands."""

    session: orm.Session
    rng: random.Random
    now: int
    """The second the simulation stands at."""
    end: int
    """The present: nothing after it has happened."""
    people: dict[str, Person] = field(default_factory=dict)
    stations: list[StationRun] = field(default_factory=list)
    parts: dict[str, PartData] = field(default_factory=dict)
    revision_ids: dict[str, int] = field(default_factory=dict)
    customer_ids: dict[str, int] = field(default_factory=dict)
    bought: dict[str, int] = field(default_factory=dict)
    """The receipts of bought items that parts take as components, by their number."""
    standing: list[Model] = field(default_factory=list)
    """What the shop stands on, held on to: a session forgets what nobody holds, and would read it again and again."""
    waiting: dict[int, list[Work]] = field(default_factory=dict)
    """Work by work center."""
    events: list[tuple[int, int, Event]] = field(default_factory=list)
    _numbers: "itertools.count[int]" = field(default_factory=lambda: itertools.count(1))

    def at(self, second: int, event: Event) -> None:
        """Let ``event`` happen at ``second``."""
        heapq.heappush(self.events, (max(second, self.now), next(self._numbers), event))

    def next_event_at(self) -> int | None:
        """Return when the next event is due, or None when none is left before what is arranged for the present."""
        return self.events[0][0] if self.events and self.events[0][0] <= self.arranged_from else None

    @property
    def arranged_from(self) -> int:
        """From here to the present nothing happens by itself: what is arranged then would come before it."""
        return self.end - ARRANGED_S

    def step(self) -> None:
        """Let the next event happen."""
        self.now, _, event = heapq.heappop(self.events)
        event()

    def hold(self) -> None:
        """Read what the shop stands on, as every commit makes necessary."""
        self.standing = [row for table in STANDING for row in self.session.scalars(sa.select(table))]

    def act(self, who: str | None, station_id: int | None = None, *, late: int = 0) -> Act:
        """Return the circumstances of something done now, recorded ``late`` seconds after it happened."""
        return Act(
            key=f"demo-{next(self._numbers)}",
            happened_at=moment(self.now),
            recorded_at=moment(self.now + late),
            person_id=self.people[who].id if who else None,
            station_id=station_id,
        )

    def chance(self, share: float) -> bool:
        """Say yes to about ``share`` of the questions."""
        return self.rng.random() < share


def moment(second: int) -> datetime:
    """Return a second since 1970 as an aware time."""
    return datetime.fromtimestamp(second, UTC)


def second_of(when: datetime) -> int:
    """Return an aware time as whole seconds since 1970."""
    return int(when.timestamp())


def local(second: int) -> datetime:
    """Return a second on the shop's wall clock."""
    return datetime.fromtimestamp(second, ZoneInfo(TIME_ZONE))
