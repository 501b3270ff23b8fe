"""Add and change parts and their revisions."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

import sqlalchemy as sa
from sqlalchemy import orm

from app.parts import queries
from app.parts.errors import LabelTakenError, NumberTakenError, PiecesPerUnitError, TooHeavyForBatchError
from app.parts.models import BlankForm, BlankSource, Component, Part, Revision, Taking
from app.parts.services.control_plan import copy_control_plan
from app.parts.services.routing_rules import heaviest
from app.parts.services.routings import copied_operation, new_version
from app.people.models import Person
from app.shared.database import transaction
from app.shared.units import shown_weight


@dataclass(frozen=True, slots=True)
class NewPart:
    """What is known of a part, whichever its revision."""

    number: str
    name: str
    active: bool = True


@dataclass(frozen=True, slots=True)
class NewRevision:
    """One issue of a drawing and its blank; weights in grams, 0 where they are not known."""

    label: str
    material: str = ""
    blank: str = ""
    blank_source: BlankSource = BlankSource.VENDOR
    blank_form: BlankForm = BlankForm.PIECE
    pieces_per_unit: int = 1
    blank_lead_days: int = 0
    blank_price: Decimal = Decimal(0)
    blank_grams: int = 0
    piece_grams: int = 0


def add_part(session: orm.Session, new: NewPart, revision: NewRevision) -> Part:
    """Add a part with its first revision, which is the current one.

    Raises:
        PartInputError: one of its kinds, naming what is refused.
    """
    with transaction(session):
        _refuse_taken_number(session, new.number, None)
        part = Part(number=new.number, name=new.name, active=new.active)
        part.revisions.append(_written(Revision(current=True), revision))
        session.add(part)
    return part


def change_part(session: orm.Session, part_id: int, new: NewPart) -> Part:
    """Change a part's number or name, or take it off the active list.

    Raises:
        PartNotFoundError: there is no such part.
        NumberTakenError: another part has the number.
    """
    with transaction(session):
        part = queries.get_part(session, part_id, lock=True)
        _refuse_taken_number(session, new.number, part.id)
        part.number, part.name, part.active = new.number, new.name, new.active
    return part


def add_revision(
    session: orm.Session, part_id: int, new: NewRevision, *, with_files: bool, by: Person | None, now: datetime
) -> Revision:
    """Add a revision with the components, control plan and routing of the current one, and make it the current one.

    Drawings and set-up sheets come along only ``with_files``: they may show the former drawing.

    Raises:
        PartNotFoundError: there is no such part.
        PartInputError: one of its kinds, naming what is refused.
    """
    with transaction(session):
        part = queries.get_part(session, part_id, lock=True)
        former = queries.current_revision(session, part.id)
        _refuse_taken_label(session, part, new.label, None)
        revision = _written(Revision(part=part), new)
        session.add(revision)
        _make_current(session, revision)
        if former is not None:
            _copy_components(former, revision)
            session.flush()
            copy_control_plan(session, former, revision, by=by, now=now)
            routing = queries.routing_of(session, former.id)
            if routing is not None:
                operations = [copied_operation(operation, with_files=with_files) for operation in routing.operations]
                new_version(session, revision, operations, by=by, now=now)
    return revision


def change_revision(session: orm.Session, revision_id: int, new: NewRevision) -> Revision:
    """Change a revision's label or its blank. Lots that are released keep what they were released with.

    Raises:
        RevisionNotFoundError: there is no such revision.
        PartInputError: one of its kinds, naming what is refused.
    """
    with transaction(session):
        revision = queries.get_revision(session, revision_id, lock=True)
        _refuse_taken_label(session, revision.part, new.label, revision.id)
        _refuse_outgrown_batch(session, revision.id, heaviest(new.blank_grams, new.piece_grams))
        _written(revision, new)
    return revision


def make_current(session: orm.Session, revision_id: int) -> Revision:
    """Offer this revision, and no other of its part, for new orders.

    Raises:
        RevisionNotFoundError: there is no such revision.
    """
    with transaction(session):
        revision = queries.get_revision(session, revision_id, lock=True)
        queries.get_part(session, revision.part_id, lock=True)
        _make_current(session, revision)
    return revision


def _written(revision: Revision, new: NewRevision) -> Revision:
    if new.blank_form is BlankForm.PIECE and new.pieces_per_unit != 1:
        raise PiecesPerUnitError
    for name in NewRevision.__slots__:
        setattr(revision, name, getattr(new, name))
    return revision


def _make_current(session: orm.Session, revision: Revision) -> None:
    session.flush()
    for other in session.scalars(sa.select(Revision).where(Revision.part_id == revision.part_id, Revision.current)):
        other.current = False
    revision.current = True
    session.flush()
    session.expire(revision.part, ["current_revision", "revisions"])


def _copy_components(former: Revision, revision: Revision) -> None:
    revision.components = [
        Component(part_id=each.part_id, operation_number=each.operation_number, per_piece=each.per_piece)
        for each in former.components
    ]


def _refuse_taken_number(session: orm.Session, number: str, own_id: int | None) -> None:
    same = queries.part_by_number(session, number)
    if same is not None and same.id != own_id:
        raise NumberTakenError(same.number)


def _refuse_taken_label(session: orm.Session, part: Part, label: str, own_id: int | None) -> None:
    same = sa.select(Revision.id).where(
        Revision.part_id == part.id, sa.func.lower(Revision.label) == sa.func.lower(label), Revision.id != (own_id or 0)
    )
    if session.scalars(same).first() is not None:
        raise LabelTakenError(part.number, label)


def _refuse_outgrown_batch(session: orm.Session, revision_id: int, grams: int) -> None:
    routing = queries.routing_of(session, revision_id)
    for operation in routing.operations if routing else ():
        if operation.taking is Taking.BATCH and 0 < operation.batch_grams < grams:
            raise TooHeavyForBatchError(
                operation.number, shown_weight(operation.batch_grams, queries.shop_units(session))
            )
