"""The control plan of a revision."""

import sqlalchemy as sa
from sqlalchemy import orm

from app.parts.errors import CharacteristicNotFoundError
from app.parts.models import Characteristic, GaugeKind, PlanHead, QualitySwitches


def control_plan(session: orm.Session, revision_id: int) -> list[Characteristic]:
    """Return the characteristics of a revision: by operation, then by number."""
    return list(
        session.scalars(
            sa.select(Characteristic)
            .where(Characteristic.revision_id == revision_id, ~Characteristic.retired)
            .order_by(Characteristic.operation_number, Characteristic.number)
            .options(orm.joinedload(Characteristic.gauge_kind))
        )
    )


def plan_head(session: orm.Session, revision_id: int) -> PlanHead | None:
    """Return what a revision's control plan says of itself; None where it was never changed."""
    chosen = sa.select(PlanHead).where(PlanHead.revision_id == revision_id).options(orm.joinedload(PlanHead.changed_by))
    return session.scalars(chosen).one_or_none()


def get_characteristic(session: orm.Session, characteristic_id: int) -> Characteristic:
    """Return one characteristic, retired or not.

    Raises:
        CharacteristicNotFoundError: there is none.
    """
    found = session.get(Characteristic, characteristic_id)
    if found is None:
        raise CharacteristicNotFoundError
    return found


def gauge_kinds(session: orm.Session) -> list[str]:
    """Return the names of the kinds of gauges, for a chooser."""
    return list(session.scalars(sa.select(GaugeKind.name).order_by(sa.func.lower(GaugeKind.name))))


def next_characteristic_number(session: orm.Session, revision_id: int) -> int:
    """Return the number that is filled in for the next characteristic."""
    highest = sa.select(sa.func.max(Characteristic.number)).where(
        Characteristic.revision_id == revision_id, ~Characteristic.retired
    )
    return (session.scalars(highest).one() or 0) + 1


def quality_switches(session: orm.Session) -> QualitySwitches:
    """Return what of quality this shop has switched on."""
    return session.scalars(sa.select(QualitySwitches)).one()


def measured_count(session: orm.Session, revision_id: int) -> int:
    """Return how many characteristics a revision's control plan has."""
    counted = sa.select(sa.func.count(Characteristic.id)).where(
        Characteristic.revision_id == revision_id, ~Characteristic.retired
    )
    return session.scalars(counted).one()
