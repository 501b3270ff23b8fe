"""Gauges, with what their last calibration says."""

from datetime import date

import sqlalchemy as sa
from sqlalchemy import orm

from app.quality.errors import GaugeNotFoundError
from app.quality.models import Calibration, Condition, Gauge, Reading
from app.shared.words import gettext


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
