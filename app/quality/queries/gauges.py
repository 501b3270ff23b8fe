"""Gauges, with what their last calibration says."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.measures import inches_to_mm, mm_to_inches, rounded
from app.core.quality.tolerances import coarsest_resolution
from app.lots.models import Lot, LotCharacteristic, LotOperation
from app.parts.models import Characteristic, Revision
from app.quality.errors import GaugeNotFoundError
from app.quality.models import Calibration, Condition, Gauge, Reading
from app.shared.words import gettext, shown_zone


def gauges_of_kind(session: orm.Session, kind_id: int) -> list[Gauge]:
    """Return the gauges of a kind that are in use, by name."""
    return list(
        session.scalars(
            sa.select(Gauge).where(Gauge.kind_id == kind_id, Gauge.active).order_by(sa.func.lower(Gauge.name))
        )
    )


def all_gauges(session: orm.Session) -> list[Gauge]:
    """Return every gauge: those in use first, the one due first at the top; those nothing is known of before them."""
    order = (Gauge.active.desc(), sa.func.coalesce(Gauge.due_on, date.min), sa.func.lower(Gauge.name))
    return list(session.scalars(sa.select(Gauge).order_by(*order).options(orm.joinedload(Gauge.kind))))


def get_gauge(session: orm.Session, gauge_id: int) -> Gauge:
    """Return one gauge with its kind and calibrations.

    Raises:
        GaugeNotFoundError: there is none.
    """
    found = session.scalars(
        sa.select(Gauge)
        .where(Gauge.id == gauge_id)
        .options(
            orm.joinedload(Gauge.kind),
            orm.selectinload(Gauge.calibrations).options(
                orm.joinedload(Calibration.file), orm.joinedload(Calibration.recorded_by)
            ),
        )
    ).one_or_none()
    if found is None:
        raise GaugeNotFoundError
    return found


def gauge_words(gauge: Gauge, today: date) -> str:
    """Return in words how a gauge stands; empty for one that is in order."""
    if not gauge.active:
        return gettext("it is out of use")
    if gauge.condition is None:
        return gettext("nothing is known of its calibration")
    if gauge.condition is Condition.OUT:
        return gettext("its last calibration failed")
    if gauge.is_overdue(today):
        return gettext("its calibration is overdue since %(day)s", day=gauge.due_on)
    return ""


def used(session: orm.Session, gauge_id: int) -> int:
    """Return how many readings and calibrations name a gauge."""
    readings = sa.select(sa.func.count(Reading.id)).where(Reading.gauge_id == gauge_id).scalar_subquery()
    calibrations = sa.select(sa.func.count(Calibration.id)).where(Calibration.gauge_id == gauge_id).scalar_subquery()
    return int(session.scalars(sa.select(readings + calibrations)).one())


@dataclass(frozen=True, slots=True)
class Doubtful:
    """Readings taken with a gauge that was found out of calibration, since its last good one."""

    found: Calibration
    since: date | None
    """The day of the good calibration before it; None: there was none."""
    readings: Sequence[Reading]


def doubtful_readings(session: orm.Session, gauge: Gauge) -> list[Doubtful]:
    """Return, for each calibration that found the gauge out, the readings taken since the last good one before it.

    A gauge is in doubt until the day it was found out, that day included.
    """
    in_order = sorted(gauge.calibrations, key=lambda each: (each.made_on, each.id))
    found = []
    since: date | None = None
    for each in in_order:
        if each.as_found is Condition.OUT:
            found.append(Doubtful(each, since, _between(session, gauge.id, since, each.made_on)))
        if each.as_left is Condition.GOOD:
            since = each.made_on
    return found[::-1]


def _between(session: orm.Session, gauge_id: int, since: date | None, until: date) -> Sequence[Reading]:
    zone = shown_zone()
    chosen = (
        sa.select(Reading)
        .where(
            Reading.gauge_id == gauge_id,
            Reading.happened_at < datetime.combine(until + timedelta(days=1), time.min, zone),
        )
        .order_by(Reading.happened_at)
        .options(
            orm.joinedload(Reading.characteristic)
            .joinedload(LotCharacteristic.operation)
            .joinedload(LotOperation.lot)
            .options(orm.joinedload(Lot.revision).joinedload(Revision.part), orm.raiseload(Lot.operations)),
            orm.joinedload(Reading.person),
        )
    )
    if since is not None:
        chosen = chosen.where(Reading.happened_at >= datetime.combine(since, time.min, zone))
    return session.scalars(chosen).all()


@dataclass(frozen=True, slots=True)
class TooCoarse:
    """A characteristic whose tolerance the gauge resolves less finely than a tenth."""

    characteristic: Characteristic
    coarsest: Decimal


def too_coarse(session: orm.Session, gauge: Gauge) -> list[TooCoarse]:
    """Return the characteristics measured with this kind of gauge for which this one is too coarse.

    Lengths are compared in either unit; others only in the same one.
    """
    if gauge.resolution is None:
        return []
    plans = session.scalars(
        sa.select(Characteristic)
        .join(Revision, Revision.id == Characteristic.revision_id)
        .where(Characteristic.gauge_kind_id == gauge.kind_id, ~Characteristic.retired, Revision.current)
        .order_by(Characteristic.revision_id, Characteristic.number)
    )
    found = []
    for plan in plans:
        resolution = _in_unit(gauge.resolution, gauge.unit, plan.unit)
        if resolution is None or not plan.is_measured:
            continue
        coarsest = coarsest_resolution(plan.limits)
        if coarsest is not None and resolution > coarsest:
            found.append(TooCoarse(plan, rounded(coarsest, plan.places + 2).normalize()))
    return found


def _in_unit(value: Decimal, own: str, wanted: str) -> Fraction | None:
    if own == wanted:
        return Fraction(value)
    if (own, wanted) == ("mm", "in"):
        return mm_to_inches(value)
    return inches_to_mm(value) if (own, wanted) == ("in", "mm") else None
