"""The measuring page of a station: what is due, the gauges for it, the last readings, what is open."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.floor.queries.jobs import OpenWork
from app.lots.models import Job, LotOperation
from app.lots.queries.jobs import job_at
from app.quality import queries as quality
from app.quality.models import Gauge, Nonconformance, Reading
from app.quality.queries import Measured, Measuring, RunDrift
from app.shared.words import local


@dataclass(frozen=True, slots=True)
class MeasuringPage:
    """What the measuring page shows.

    Attributes:
        measuring: what is measured and what is due.
        chosen: the characteristic that is measured next.
        gauges: the gauges for it, each with what keeps it from being used.
        gauge_id: the gauge that was used last for it here.
        readings: the last readings.
        kept: the reading that was just taken.
        open: nonconformances of the operation that are not decided.
        job: the open job here.
        drifts: characteristics that drift towards a limit in this lot.
    """

    measuring: Measuring
    chosen: Measured
    gauges: list[tuple[Gauge, str]]
    gauge_id: int | None
    readings: Sequence[Reading]
    kept: Reading | None
    open: Sequence[Nonconformance]
    job: Job | None
    drifts: list[tuple[Measured, RunDrift]]

    @property
    def operation(self) -> LotOperation:
        """Return the operation."""
        return self.measuring.operation


def measuring_page(
    session: orm.Session, station_id: int, operation_id: int, now: datetime, *, of: int | None, kept: int | None
) -> MeasuringPage:
    """Read the measuring page; without ``of`` the first characteristic that is due is measured next.

    Raises:
        NoSuchMeasuringError: nothing is measured at the operation.
    """
    operation = quality.measured_operation(session, operation_id)
    measuring = quality.measuring(session, operation, now)
    chosen = next((each for each in measuring.items if each.characteristic.id == of), None)
    chosen = chosen or next(iter(measuring.due), measuring.items[0])
    kind_id = chosen.characteristic.gauge_kind_id
    gauges = quality.gauges_of_kind(session, kind_id) if kind_id else []
    today = local(now).date()
    readings = quality.last_readings(session, operation)
    return MeasuringPage(
        measuring=measuring,
        chosen=chosen,
        gauges=[(each, quality.gauge_words(each, today)) for each in gauges],
        gauge_id=_last_gauge(session, station_id, gauges, today),
        readings=readings,
        kept=next((each for each in readings if each.id == kept), None),
        open=[each for each in quality.of_lot(session, operation.lot_id) if each.closed_at is None],
        job=job_at(session, operation_id, station_id),
        drifts=_drifts(measuring),
    )


def _drifts(measuring: Measuring) -> list[tuple[Measured, RunDrift]]:
    """Return the characteristics whose drift may put pieces of this lot out."""
    lot = measuring.operation.lot
    measured = [each for each in measuring.items if each.characteristic.is_measured]
    found = [(each, quality.drift_of(list(each.last.values()), each.characteristic.limits)) for each in measured]
    return [(each, drift) for each, drift in found if drift is not None and drift.within(lot)]


def _last_gauge(session: orm.Session, station_id: int, gauges: Sequence[Gauge], today: date) -> int | None:
    """Return the gauge that this station used last among some, if it may still be used."""
    usable = [each.id for each in gauges if each.is_usable(today)]
    if not usable:
        return None
    last = session.scalars(
        sa.select(Reading.gauge_id)
        .where(Reading.gauge_id.in_(usable), Reading.station_id == station_id)
        .order_by(Reading.happened_at.desc())
        .limit(1)
    ).first()
    return last or usable[0]


@dataclass(frozen=True, slots=True)
class MeasuredJob:
    """What an open job's operation asks for: how many readings are due, and what drifts."""

    due: int
    drifts: list[tuple[Measured, RunDrift]]


def measured_jobs(session: orm.Session, work: Sequence[OpenWork], now: datetime) -> dict[int, MeasuredJob]:
    """Return what is to be measured of what is open here, by operation; only for those that are measured."""
    measured = [each.operation.id for one in work for each in one.jobs if each.operation.measured]
    found = {key: quality.measuring(session, quality.measured_operation(session, key), now) for key in measured}
    return {key: MeasuredJob(each.readings_due, _drifts(each)) for key, each in found.items()}
