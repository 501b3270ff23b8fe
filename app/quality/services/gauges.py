"""Gauges are listed, changed, taken out of use; their calibrations say whether they may be used."""

from calendar import monthrange
from dataclasses import asdict, dataclass
from datetime import date
from decimal import Decimal

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.services import Act
from app.lots.services.acts import content_hash
from app.parts.services import Upload, keep_file, named_gauge_kind
from app.people.models import Person, Role
from app.quality import queries
from app.quality.errors import (
    CalibrationDayError,
    GaugeInUseError,
    GaugeRangeError,
    GaugeTakenError,
    ResolutionError,
    WarningByOwnerError,
)
from app.quality.models import Calibration, Condition, Gauge, WhenOverdue
from app.quality.services.keys import kept_before
from app.shared.database import transaction
from app.shared.words import local


@dataclass(frozen=True, slots=True)
class NewGauge:
    """A gauge as it is typed; ``kind`` is the name of its kind."""

    name: str
    kind: str
    unit: str = ""
    range_low: Decimal | None = None
    range_high: Decimal | None = None
    resolution: Decimal | None = None
    owner: str = ""
    interval_months: int = 12
    when_overdue: WhenOverdue = WhenOverdue.BLOCK
    active: bool = True


@dataclass(frozen=True, slots=True)
class NewCalibration:
    """A calibration as it is typed, with the certificate's file where there is one."""

    made_on: date
    as_found: Condition
    as_left: Condition
    made_by: str = ""
    certificate: str = ""
    note: str = ""
    file: Upload | None = None


def add_gauge(session: orm.Session, new: NewGauge, *, by: Person | None = None) -> Gauge:
    """List a gauge; until a calibration is recorded no station takes readings of it.

    Raises:
        GaugeInputError: one of its kinds, naming what is refused.
    """
    with transaction(session):
        gauge = Gauge(when_overdue=WhenOverdue.BLOCK)
        _check_warning(gauge, new, by)
        session.add(_written(session, gauge, new))
    return gauge


def change_gauge(session: orm.Session, gauge_id: int, new: NewGauge, *, by: Person | None = None) -> Gauge:
    """Change a gauge, or take it out of use; its readings stay.

    Raises:
        GaugeNotFoundError: there is no such gauge.
        GaugeInputError: one of its kinds, naming what is refused.
    """
    with transaction(session):
        gauge = queries.get_gauge(session, gauge_id)
        _check_warning(gauge, new, by)
        _written(session, gauge, new)
        if gauge.calibrated_on is not None:
            gauge.due_on = months_later(gauge.calibrated_on, gauge.interval_months)
    return gauge


def delete_gauge(session: orm.Session, gauge_id: int) -> None:
    """Delete a gauge that was listed by mistake.

    Raises:
        GaugeNotFoundError: there is no such gauge.
        GaugeInUseError: readings or calibrations name it.
    """
    with transaction(session):
        gauge = queries.get_gauge(session, gauge_id)
        named = queries.used(session, gauge_id)
        if named:
            raise GaugeInUseError(gauge.name, named)
        session.delete(gauge)


def record_calibration(session: orm.Session, act: Act, gauge_id: int, new: NewCalibration) -> Calibration:
    """Keep a calibration; what the last one says decides whether the gauge may be used, and until when.

    Raises:
        GaugeNotFoundError: there is no such gauge.
        CalibrationDayError: it lies in the future.
        FileRefusedError: what is wrong with the certificate's file.
    """
    facts = asdict(new)
    facts.pop("file")
    content = {"gauge": gauge_id, **facts}
    with transaction(session):
        gauge = queries.get_gauge(session, gauge_id)
        kept = kept_before(session, Calibration, act.key, content)
        if kept is not None:
            return kept
        if new.made_on > local(act.recorded_at).date():
            raise CalibrationDayError
        made = Calibration(
            **facts,
            file=keep_file(session, new.file, now=act.recorded_at) if new.file else None,
            client_key=act.key,
            content_hash=content_hash(Calibration.__name__, content),
            recorded_at=act.recorded_at,
            recorded_by_id=act.person_id,
        )
        gauge.calibrations.append(made)
        session.flush()
        _follow_last(session, gauge)
    return made


def _follow_last(session: orm.Session, gauge: Gauge) -> None:
    """Keep with the gauge what its last calibration says; one recorded late may not be the last."""
    last = session.scalars(
        sa.select(Calibration)
        .where(Calibration.gauge_id == gauge.id)
        .order_by(Calibration.made_on.desc(), Calibration.id.desc())
        .limit(1)
    ).one()
    gauge.calibrated_on, gauge.condition = last.made_on, last.as_left
    gauge.due_on = months_later(last.made_on, gauge.interval_months)


def months_later(day: date, months: int) -> date:
    """Return the same day so many months later, or the last of a month that is too short."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def _check_warning(gauge: Gauge, new: NewGauge, by: Person | None) -> None:
    """Let only an owner say that stations merely warn of a gauge that is overdue."""
    asked = new.when_overdue is WhenOverdue.WARN and gauge.when_overdue is not WhenOverdue.WARN
    if asked and by is not None and not by.has_role(Role.OWNER):
        raise WarningByOwnerError(by.name)


def _written(session: orm.Session, gauge: Gauge, new: NewGauge) -> Gauge:
    same = sa.select(Gauge.id).where(sa.func.lower(Gauge.name) == new.name.lower(), Gauge.id != (gauge.id or 0))
    if session.scalars(same).first() is not None:
        raise GaugeTakenError(new.name)
    if new.range_low is not None and new.range_high is not None and new.range_low >= new.range_high:
        raise GaugeRangeError
    if new.resolution is not None and new.resolution <= 0:
        raise ResolutionError
    gauge.kind_id = named_gauge_kind(session, new.kind) or 0
    for name in ("name", "unit", "range_low", "range_high", "resolution", "owner", "interval_months", "active"):
        setattr(gauge, name, getattr(new, name))
    gauge.when_overdue = new.when_overdue
    return gauge
