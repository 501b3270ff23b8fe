"""The control plan of a revision: characteristics are added, changed, retired, and copied to the next revision."""

from dataclasses import dataclass, replace
from datetime import datetime
from decimal import Decimal

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.quality.errors import BadInputError, Fault
from app.core.quality.fits import limits_of_fit
from app.core.quality.tolerances import Limits
from app.parts import queries
from app.parts.errors import (
    CharacteristicNumberTakenError,
    ClassNeedsMillimetersError,
    LimitsTwiceError,
    MeasuringError,
    NominalMissingError,
    NoSuchOperationError,
    WholeNumberNeededError,
)
from app.parts.models import (
    Characteristic,
    CharacteristicKind,
    CharacteristicPlan,
    Concerns,
    FrequencyKind,
    GaugeKind,
    Revision,
)
from app.parts.models.characteristics import frequency_of
from app.parts.services.plan_heads import note_change
from app.people.models import Person
from app.shared.database import transaction
from app.shared.errors import Problem, refuse

MILLIMETERS = "mm"
WHOLE = frozenset({FrequencyKind.EVERY_NTH, FrequencyKind.TIMES_A_SHIFT})
PLACE_OF_FAULT = {Fault.NOMINAL_OUTSIDE: "nominal", Fault.LIMITS_REVERSED: "upper"}


@dataclass(frozen=True, slots=True)
class Often:
    """A frequency as it is typed; ``number`` is a step, a number of times, or a share in percent."""

    kind: FrequencyKind
    number: Decimal | None = None


@dataclass(frozen=True, slots=True)
class NewCharacteristic:
    """A characteristic as it is typed; limits keep the digits that were written.

    Instead of limits a tolerance class may stand beside the nominal.
    """

    number: int
    operation_number: int
    name: str
    kind: CharacteristicKind = CharacteristicKind.MEASURED
    concerns: Concerns = Concerns.PRODUCT
    nominal: Decimal | None = None
    lower: Decimal | None = None
    upper: Decimal | None = None
    tolerance_class: str = ""
    unit: str = ""
    drawing_zone: str = ""
    gauge_kind: str = ""
    special_mark: str = ""
    method: str = ""
    reaction_plan: str = ""
    checking: Often = Often(FrequencyKind.EVERY_PIECE)
    recording: Often = Often(FrequencyKind.EVERY_PIECE)
    confidence: Decimal | None = None
    first_piece: bool = False
    asks_serial: bool = False


def add_characteristic(
    session: orm.Session, revision_id: int, new: NewCharacteristic, *, by: Person | None, now: datetime
) -> Characteristic:
    """Add a characteristic to the control plan of a revision. Lots that are released keep the plan they have.

    Raises:
        RevisionNotFoundError: there is no such revision.
        RefusedError: something is wrong; its problems say what and where.
    """
    with transaction(session):
        revision = queries.get_revision(session, revision_id, lock=True)
        made = _written(session, Characteristic(revision_id=revision.id), new)
        session.add(made)
        note_change(session, revision.id, by=by, now=now)
    return made


def change_characteristic(
    session: orm.Session, characteristic_id: int, new: NewCharacteristic, *, by: Person | None, now: datetime
) -> Characteristic:
    """Change a characteristic. Lots that are released keep the plan they have.

    Raises:
        CharacteristicNotFoundError: there is no such characteristic.
        RefusedError: something is wrong; its problems say what and where.
    """
    with transaction(session):
        found = _written(session, queries.get_characteristic(session, characteristic_id), new)
        note_change(session, found.revision_id, by=by, now=now)
    return found


def retire_characteristic(
    session: orm.Session, characteristic_id: int, *, by: Person | None, now: datetime
) -> Characteristic:
    """Take a characteristic off the plan: lots released from now on do not have it, its readings stay.

    Raises:
        CharacteristicNotFoundError: there is no such characteristic.
    """
    with transaction(session):
        found = queries.get_characteristic(session, characteristic_id)
        found.retired = True
        note_change(session, found.revision_id, by=by, now=now)
    return found


def copy_control_plan(
    session: orm.Session, former: Revision, revision: Revision, *, by: Person | None, now: datetime
) -> None:
    """Give a revision the control plan of another, with what it says of itself; inside a use case."""
    planned = queries.control_plan(session, former.id)
    if planned:
        head, before = note_change(session, revision.id, by=by, now=now), queries.plan_head(session, former.id)
        if before is not None:
            head.phase, head.contact, head.customer = before.phase, before.contact, before.customer
    for each in planned:
        same = {name: getattr(each, name) for name in CharacteristicPlan.PLANNED}
        session.add(Characteristic(revision_id=revision.id, operation_number=each.operation_number, **same))


def _written(session: orm.Session, row: Characteristic, new: NewCharacteristic) -> Characteristic:
    problems = _problems(session, row, new)
    limits, wrong = (None, None) if new.kind is CharacteristicKind.ATTRIBUTE else _limits(new)
    refuse([*problems, *([wrong] if wrong else [])])
    row.number, row.operation_number, row.name = new.number, new.operation_number, new.name
    row.kind, row.concerns = new.kind, new.concerns
    row.lower, row.upper, row.nominal = (limits.lower, limits.upper, limits.nominal) if limits else (None, None, None)
    row.places = limits.places if limits else 0
    row.tolerance_class = f"{new.nominal} {new.tolerance_class}" if limits and new.tolerance_class else ""
    row.unit = new.unit if limits else ""
    row.gauge_kind_id = named_gauge_kind(session, new.gauge_kind)
    row.checking_kind, row.checking_number = new.checking.kind, _number(new.checking)
    row.recording_kind, row.recording_number = new.recording.kind, _number(new.recording)
    row.confidence = new.confidence
    for name in ("drawing_zone", "special_mark", "method", "reaction_plan", "first_piece", "asks_serial"):
        setattr(row, name, getattr(new, name))
    return row


def _number(often: Often) -> Decimal | None:
    return often.number if often.kind.needs_number else None


def _problems(session: orm.Session, row: Characteristic, new: NewCharacteristic) -> list[Problem]:
    found = []
    same = sa.select(Characteristic.id).where(
        Characteristic.revision_id == row.revision_id,
        Characteristic.number == new.number,
        ~Characteristic.retired,
        Characteristic.id != (row.id or 0),
    )
    if session.scalars(same).first() is not None:
        found.append(Problem("number", CharacteristicNumberTakenError(new.number)))
    routing = queries.routing_of(session, row.revision_id)
    if new.operation_number not in {each.number for each in (routing.operations if routing else ())}:
        found.append(Problem("operation_number", NoSuchOperationError(new.operation_number)))
    for place, often in (("checking_number", new.checking), ("recording_number", new.recording)):
        wrong = _wrong_frequency(place, often, new.confidence)
        found.extend([wrong] if wrong else [])
    return found


def _wrong_frequency(place: str, often: Often, confidence: Decimal | None) -> Problem | None:
    number = _number(often)
    if often.kind in WHOLE and number is not None and number != number.to_integral_value():
        return Problem(place, WholeNumberNeededError())
    try:
        frequency_of(often.kind, number, confidence)
    except BadInputError as error:
        return Problem(place, MeasuringError.of(error))
    return None


def _limits(new: NewCharacteristic) -> tuple[Limits | None, Problem | None]:
    """Return the limits that were typed or that the class gives, or what is wrong with them."""
    try:
        if new.tolerance_class:
            return _limits_of_class(new)
        return Limits(new.lower, new.upper, new.nominal), None
    except BadInputError as error:
        place = "tolerance_class" if new.tolerance_class else PLACE_OF_FAULT.get(error.fault, "lower")
        return None, Problem(place, MeasuringError.of(error))


def _limits_of_class(new: NewCharacteristic) -> tuple[Limits | None, Problem | None]:
    if new.lower is not None or new.upper is not None:
        return None, Problem("tolerance_class", LimitsTwiceError())
    if new.nominal is None:
        return None, Problem("nominal", NominalMissingError())
    if new.unit != MILLIMETERS:
        return None, Problem("unit", ClassNeedsMillimetersError())
    limits = limits_of_fit(new.nominal, new.tolerance_class)
    inside = limits.exceeded(new.nominal) is None
    return (replace(limits, nominal=new.nominal) if inside else limits), None


def named_gauge_kind(session: orm.Session, name: str) -> int | None:
    """Return the kind of gauge with this name, capitals or not; a new name makes a new one, inside a use case."""
    if not name:
        return None
    found = session.scalars(sa.select(GaugeKind).where(sa.func.lower(GaugeKind.name) == name.lower())).first()
    if found is None:
        found = GaugeKind(name=name)
        session.add(found)
        session.flush()
    return found.id
