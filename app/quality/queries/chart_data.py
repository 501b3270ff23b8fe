"""Readings of one characteristic across lots, as charts take them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.quality.errors import BadInputError, Fault
from app.lots.models import Lot, LotCharacteristic, LotOperation
from app.lots.queries.names import lot_name
from app.parts.models import Characteristic, Part, Revision
from app.quality.models import Gauge, Reading
from app.shared.paging import Page, paged
from app.shared.words import shown_zone
from app.stations.models import Station

MOST_READINGS: Final = 400
"""Charts show the last so many readings of what was chosen."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """Which readings are charted, and which of them the limits come from."""

    station_id: int | None = None
    gauge_id: int | None = None
    since: date | None = None
    until: date | None = None
    base_since: date | None = None
    base_until: date | None = None


@dataclass(frozen=True, slots=True)
class Charted:
    """The readings that were chosen, oldest first; ``left_out`` says that there are more before them."""

    readings: Sequence[Reading]
    left_out: bool

    @property
    def values(self) -> list[Decimal]:
        """Return the values with the digits that were typed."""
        return [Decimal(each.typed) for each in self.readings]

    @property
    def lots(self) -> list[str]:
        """Return the name of each reading's lot."""
        return [lot_name(each.characteristic.operation.lot) for each in self.readings]


@dataclass(frozen=True, slots=True)
class ChartRow:
    """How many readings a characteristic has, and when the last was taken."""

    readings: int
    last_at: datetime


def charted_characteristics(session: orm.Session, number: int) -> tuple[Page[Characteristic], dict[int, ChartRow]]:
    """Return a page of the measured characteristics that have readings, by part, with what they have of them."""
    having = sa.select(LotCharacteristic.characteristic_id).join(
        Reading, sa.and_(Reading.characteristic_id == LotCharacteristic.id, Reading.value.is_not(None))
    )
    page = paged(
        session,
        sa.select(Characteristic)
        .join(Characteristic.revision)
        .join(Revision.part)
        .where(Characteristic.id.in_(having))
        .order_by(Part.number, Revision.id.desc(), Characteristic.number, Characteristic.id)
        .options(orm.contains_eager(Characteristic.revision).contains_eager(Revision.part)),
        number,
    )
    counted = session.execute(
        sa.select(LotCharacteristic.characteristic_id, sa.func.count(Reading.id), sa.func.max(Reading.happened_at))
        .join(Reading, Reading.characteristic_id == LotCharacteristic.id)
        .where(
            LotCharacteristic.characteristic_id.in_([each.id for each in page.rows]),
            Reading.struck_at.is_(None),
            Reading.value.is_not(None),
        )
        .group_by(LotCharacteristic.characteristic_id)
    )
    return page, {row[0]: ChartRow(row[1], row[2]) for row in counted}


def charted_readings(session: orm.Session, characteristic_id: int, chosen: Chosen) -> Charted:
    """Return the readings of a characteristic in all lots, as chosen."""
    statement = (
        sa.select(Reading)
        .join(Reading.characteristic)
        .where(
            LotCharacteristic.characteristic_id == characteristic_id,
            Reading.struck_at.is_(None),
            Reading.value.is_not(None),
            *_conditions(chosen),
        )
        .order_by(Reading.happened_at.desc(), Reading.id.desc())
        .limit(MOST_READINGS + 1)
        .options(
            orm.contains_eager(Reading.characteristic)
            .joinedload(LotCharacteristic.operation)
            .joinedload(LotOperation.lot)
            .raiseload(Lot.operations),
            orm.joinedload(Reading.station),
            orm.joinedload(Reading.gauge),
            orm.joinedload(Reading.person),
        )
    )
    found = session.scalars(statement).all()
    return Charted(found[:MOST_READINGS][::-1], left_out=len(found) > MOST_READINGS)


def _conditions(chosen: Chosen) -> list[sa.ColumnElement[bool]]:
    found: list[sa.ColumnElement[bool]] = []
    if chosen.station_id is not None:
        found.append(Reading.station_id == chosen.station_id)
    if chosen.gauge_id is not None:
        found.append(Reading.gauge_id == chosen.gauge_id)
    if chosen.since is not None:
        found.append(Reading.happened_at >= _midnight(chosen.since))
    if chosen.until is not None:
        found.append(Reading.happened_at < _midnight(chosen.until + timedelta(days=1)))
    return found


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time.min, shown_zone())


def base_period(readings: Sequence[Reading], chosen: Chosen) -> range | None:
    """Return the indices of the readings in the base period; None where none was chosen: all of them.

    Raises:
        BadInputError: EMPTY_BASE, no reading lies in it.
    """
    if chosen.base_since is None and chosen.base_until is None:
        return None
    first = _midnight(chosen.base_since) if chosen.base_since else None
    behind = _midnight(chosen.base_until + timedelta(days=1)) if chosen.base_until else None
    inside = [
        index
        for index, each in enumerate(readings)
        if (first is None or each.happened_at >= first) and (behind is None or each.happened_at < behind)
    ]
    if not inside:
        raise BadInputError(Fault.EMPTY_BASE, points=0, least=2)
    return range(inside[0], inside[-1] + 1)


def measured_at(session: orm.Session, characteristic_id: int) -> tuple[list[tuple[int, str]], list[tuple[int, str]]]:
    """Return the stations and the gauges that readings of a characteristic were taken at and with."""
    own = sa.select(LotCharacteristic.id).where(LotCharacteristic.characteristic_id == characteristic_id)
    rows = session.execute(
        sa.select(sa.literal("station"), Station.id, Station.name)
        .where(Station.id.in_(sa.select(Reading.station_id).where(Reading.characteristic_id.in_(own))))
        .union_all(
            sa.select(sa.literal("gauge"), Gauge.id, Gauge.name).where(
                Gauge.id.in_(sa.select(Reading.gauge_id).where(Reading.characteristic_id.in_(own)))
            )
        )
    ).all()
    return (
        sorted(((row[1], row[2]) for row in rows if row[0] == "station"), key=lambda pair: pair[1]),
        sorted(((row[1], row[2]) for row in rows if row[0] == "gauge"), key=lambda pair: pair[1]),
    )
