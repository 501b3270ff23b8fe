"""What was stored of the last forecast, lot by lot."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Final, NamedTuple

import sqlalchemy as sa
from sqlalchemy import orm
from sqlalchemy.orm.interfaces import LoaderOption

from app.lots.errors import LotNotFoundError
from app.lots.models import Lot, LotOperation
from app.parts.models import Revision
from app.schedule.models import (
    AcceptedPlan,
    ChanceRun,
    Forecast,
    LotChance,
    LotForecast,
    Outlook,
    PinChange,
    PlannedRun,
)
from app.schedule.queries.turns import ranks_in_force
from app.shared.database import ChangeNumber
from app.shared.paging import Page, paged
from app.shared.words import local

LITTLE_SLACK: Final = timedelta(days=1)
"""A lot that is expected so short before it is due is one to watch."""
LIKELY: Final = 500
"""A lot that is late with a higher chance, in thousandths, is one to watch whatever its slack."""
PINS_SHOWN: Final = 10
EXPECTED_EVERY: Final = timedelta(minutes=3)
"""The planner makes a forecast each minute; an older one means that it does not run."""


@dataclass(frozen=True, slots=True)
class ChancesAge:
    """How old the stored chances of being late are, and whether the shop has changed since."""

    computed_at: datetime
    seconds: int
    overtaken: bool


@dataclass(frozen=True, slots=True)
class Age:
    """How old the stored forecast is, and whether anything that it read has changed since."""

    computed_at: datetime
    seconds: int
    number: int
    current: int
    plan_at: datetime | None = None
    """When the plan was accepted by which stations go, the last one of several; None where none is in force."""
    first_plan_at: datetime | None = None
    """When the oldest of those in force was accepted."""
    chances: ChancesAge | None = None
    """Of the stored chances of being late; None where there are none."""

    @property
    def overtaken(self) -> bool:
        """Say whether the shop has changed since."""
        return self.number < self.current

    @property
    def stale(self) -> bool:
        """Say whether the planner should have made a newer one long ago."""
        return self.seconds > EXPECTED_EVERY.total_seconds()


class Shown(StrEnum):
    """Which lots a list shows."""

    ALL = "all"
    LATE = "late"


def latest(session: orm.Session) -> Forecast | None:
    """Return the stored forecast's number and time, or None before the first."""
    return session.scalars(sa.select(Forecast).execution_options(populate_existing=True)).one_or_none()


def age(session: orm.Session, now: datetime) -> Age | None:
    """Return how old the stored forecast is, or None before the first; one statement."""
    current = sa.select(ChangeNumber.number).scalar_subquery()
    ranks = ranks_in_force()
    plans = (
        sa.select(
            sa.func.max(AcceptedPlan.accepted_at).label("last"), sa.func.min(AcceptedPlan.accepted_at).label("first")
        )
        .join(ranks, ranks.c.accepted_plan_id == AcceptedPlan.id)
        .subquery()
    )
    found = session.execute(
        sa.select(Forecast.computed_at, Forecast.change_number, current, plans.c.last, plans.c.first, ChanceRun)
        .select_from(Forecast)
        .join(plans, sa.true())
        .outerjoin(ChanceRun, sa.true())
    ).one_or_none()
    if found is None:
        return None
    computed_at, number, current_number, last, first, run = found
    chances = None
    if run is not None:
        overtaken = run.change_number < current_number
        chances = ChancesAge(run.computed_at, _seconds_ago(run.computed_at, now), overtaken)
    return Age(computed_at, _seconds_ago(computed_at, now), number, current_number, last, first, chances)


def _seconds_ago(moment: datetime, now: datetime) -> int:
    return max(0, int((now - moment).total_seconds()))


def lot_outlooks(session: orm.Session, lot_ids: Iterable[int] | None = None) -> dict[int, LotForecast]:
    """Return what is forecast of lots, by lot: of all open ones, or of some; one statement.

    A lot that was released since the last forecast is missing.
    """
    chosen = sa.select(LotForecast)
    if lot_ids is not None:
        chosen = chosen.where(LotForecast.lot_id.in_(list(lot_ids)))
    return {found.lot_id: found for found in session.scalars(chosen)}


class Watched(NamedTuple):
    """Open lots that somebody should know of."""

    late: list[LotForecast]
    """Those that are late or will be; those past their due time for which no finish can be expected come first."""
    tight: list[LotForecast]
    """Those with little slack, and those that are more likely late than not."""
    stuck: list[LotForecast]
    """Those that nothing in the shop can do as it is described, while they are not late yet."""
    stopped: list[LotForecast]
    """Those on hold or lacking something of which nobody knows when it comes, while they are due soon."""


STUCK: Final = (Outlook.NO_STATION, Outlook.NO_OPEN_HOURS, Outlook.BAD_INPUT)
STOPPED: Final = (Outlook.HELD, Outlook.NO_BLANKS, Outlook.NO_COMPONENTS)


def watched(session: orm.Session, now: datetime) -> Watched:
    """Return the open lots that somebody should know of, the latest first; parts and operations are loaded.

    Two statements.
    """
    likely_late = sa.select(LotChance.lot_id, LotChance.late_permille).subquery()
    rows = session.scalars(
        sa.select(LotForecast)
        .join(LotForecast.lot)
        .outerjoin(likely_late, likely_late.c.lot_id == LotForecast.lot_id)
        .where(
            Lot.closed_at.is_(None),
            sa.or_(
                LotForecast.late,
                LotForecast.slack_seconds < int(LITTLE_SLACK.total_seconds()),
                likely_late.c.late_permille > LIKELY,
                LotForecast.outlook.in_(STUCK),
                LotForecast.outlook.in_(STOPPED),
            ),
        )
        .order_by(
            LotForecast.slack_seconds.is_not(None), LotForecast.slack_seconds, LotForecast.due_at, LotForecast.lot_id
        )
        .options(*_part_of(LotForecast.lot), orm.contains_eager(LotForecast.lot).selectinload(Lot.operations))
    ).all()
    on_time = [each for each in rows if not each.late]
    return Watched(
        late=[each for each in rows if each.late],
        tight=[each for each in on_time if each.slack_seconds is not None],
        stuck=[each for each in on_time if each.outlook in STUCK],
        stopped=[each for each in on_time if each.outlook in STOPPED and _due_soon(each, now)],
    )


def _due_soon(forecast: LotForecast, now: datetime) -> bool:
    """Say whether a stopped lot would be done so short before it is due, if what stops it ended now."""
    if forecast.due_at is None:
        return False
    return forecast.due_at - max(now, forecast.bare_finish_at or now) < _until_next_morning(now)


def _until_next_morning(now: datetime) -> timedelta:
    """Return the slack below which a stopped lot is told: what is little on the next weekday, when it is told again.

    A lot that goes nowhere loses all the time until then, over a weekend too (common practice, no source).
    """
    return LITTLE_SLACK + timedelta(days={4: 3, 5: 2}.get(local(now).weekday(), 1))


def _part_of(lot: orm.InstrumentedAttribute[Lot]) -> tuple[LoaderOption, ...]:
    return (orm.contains_eager(lot).joinedload(Lot.revision).joinedload(Revision.part),)


def lots_page(session: orm.Session, shown: Shown, number: int) -> tuple[Page[Lot], dict[int, LotForecast]]:
    """Return a page of open lots and what is forecast of them; four statements.

    Lots that cannot be planned come first, then those with the least slack; those without a due date come last.
    """
    unplanned = sa.and_(LotForecast.outlook.is_not(None), LotForecast.outlook != Outlook.EXPECTED)
    chosen = (
        sa.select(Lot)
        .outerjoin(LotForecast, LotForecast.lot_id == Lot.id)
        .where(Lot.closed_at.is_(None))
        .order_by(
            sa.case((unplanned, 0), else_=1), LotForecast.slack_seconds.is_(None), LotForecast.slack_seconds, Lot.number
        )
        .options(orm.joinedload(Lot.revision).joinedload(Revision.part))
    )
    if shown is Shown.LATE:
        chosen = chosen.where(LotForecast.late)
    found = paged(session, chosen, number)
    return found, lot_outlooks(session, [lot.id for lot in found.rows])


@dataclass(frozen=True, slots=True)
class LotPlan:
    """What is planned for one lot, and its last pins; no forecast where there is none yet, or the lot is finished."""

    lot: Lot
    forecast: LotForecast | None
    runs: Sequence[PlannedRun]
    pins: Sequence[PinChange]

    def share_of_way(self, moment: datetime) -> float | None:
        """Return where a moment lies between release (0) and due time (1), above 1 past it; None without a due time."""
        due = self.forecast.due_at if self.forecast else None
        if due is None or due <= self.lot.released_at:
            return None
        return max(0.0, (moment - self.lot.released_at) / (due - self.lot.released_at))

    @property
    def pinned_by(self) -> PinChange | None:
        """Return who gave the lot the place that it has, and when; none where nobody did."""
        return self.pins[0] if self.pins and self.lot.pin is not None else None


def lot_plan(session: orm.Session, lot_id: int) -> LotPlan:
    """Return what is planned for one lot, its runs in order; five statements.

    Raises:
        LotNotFoundError: no such lot.
    """
    lot = session.scalars(
        sa.select(Lot)
        .where(Lot.id == lot_id)
        .options(orm.joinedload(Lot.revision).joinedload(Revision.part), orm.selectinload(Lot.operations))
    ).one_or_none()
    if lot is None:
        raise LotNotFoundError(str(lot_id))
    runs = session.scalars(
        sa.select(PlannedRun)
        .join(PlannedRun.operation)
        .where(LotOperation.lot_id == lot_id)
        .order_by(LotOperation.number, PlannedRun.start_at, PlannedRun.id)
        .options(
            orm.contains_eager(PlannedRun.operation).joinedload(LotOperation.kind), orm.joinedload(PlannedRun.station)
        )
    ).all()
    return LotPlan(lot, lot_outlooks(session, [lot_id]).get(lot_id), runs, _last_pins(session, lot_id))


def _last_pins(session: orm.Session, lot_id: int) -> Sequence[PinChange]:
    """Return the last few times somebody pinned a lot or took its pin away, the latest first."""
    return session.scalars(
        sa.select(PinChange)
        .where(PinChange.lot_id == lot_id)
        .order_by(PinChange.id.desc())
        .limit(PINS_SHOWN)
        .options(orm.joinedload(PinChange.changed_by))
    ).all()
