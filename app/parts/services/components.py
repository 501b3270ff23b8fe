"""Parts and bought items that go into a revision."""

from collections import deque
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.parts import queries
from app.parts.errors import (
    ComponentLoopError,
    ComponentNotFoundError,
    ComponentTwiceError,
    NoSuchPartError,
    OperationNotInRoutingError,
    OwnComponentError,
)
from app.parts.models import Component, Part, Revision
from app.shared.database import transaction


@dataclass(frozen=True, slots=True)
class NewComponent:
    """How many of which part go into each piece, and at which operation they are fitted."""

    part_number: str
    per_piece: int
    operation_number: int


def add_component(session: orm.Session, revision_id: int, new: NewComponent) -> Component:
    """Let a part go into each piece of a revision.

    Raises:
        RevisionNotFoundError: there is no such revision.
        PartInputError: one of its kinds, naming what is refused.
    """
    with transaction(session):
        revision = queries.get_revision(session, revision_id, lock=True)
        part = queries.part_by_number(session, new.part_number)
        if part is None:
            raise NoSuchPartError(new.part_number)
        _refuse_loop(session, part, revision.part)
        _refuse_unknown_operation(session, revision.id, new.operation_number)
        if (part.id, new.operation_number) in {(each.part_id, each.operation_number) for each in revision.components}:
            raise ComponentTwiceError(part.number, new.operation_number)
        component = Component(part=part, operation_number=new.operation_number, per_piece=new.per_piece)
        revision.components.append(component)
    return component


def remove_component(session: orm.Session, component_id: int) -> Revision:
    """Take a component out of its revision, which is returned.

    Raises:
        ComponentNotFoundError: it has been removed already.
    """
    with transaction(session):
        component = session.get(Component, component_id)
        if component is None:
            raise ComponentNotFoundError
        revision = queries.get_revision(session, component.revision_id, lock=True)
        revision.components.remove(component)
    return revision


def _refuse_unknown_operation(session: orm.Session, revision_id: int, number: int) -> None:
    routing = queries.routing_of(session, revision_id)
    numbers = [operation.number for operation in routing.operations] if routing else []
    if number not in numbers:
        raise OperationNotInRoutingError(number, numbers)


def _refuse_loop(session: orm.Session, component: Part, into: Part) -> None:
    """Refuse a component that the part itself goes into, whichever revisions are on the way."""
    if component.id == into.id:
        raise OwnComponentError
    chain = _way_up(session, start=into.id, goal=component.id)
    if chain:
        numbers = dict(session.execute(sa.select(Part.id, Part.number).where(Part.id.in_(chain))).all())
        raise ComponentLoopError([component.number, *(numbers[part_id] for part_id in chain)])


def _way_up(session: orm.Session, start: int, goal: int) -> list[int]:
    """Return the parts from ``start`` to ``goal``, each going into the next; empty where there is no such way."""
    pairs = sa.select(Component.part_id, Revision.part_id).join(Revision, Revision.id == Component.revision_id)
    goes_into: dict[int, set[int]] = {}
    for part_id, whole_id in session.execute(pairs):
        goes_into.setdefault(part_id, set()).add(whole_id)
    came_from: dict[int, int | None] = {start: None}
    waiting = deque([start])
    while waiting:
        here = waiting.popleft()
        if here == goal:
            return _traced(came_from, goal)
        for whole_id in sorted(goes_into.get(here, set()) - came_from.keys()):
            came_from[whole_id] = here
            waiting.append(whole_id)
    return []


def _traced(came_from: dict[int, int | None], goal: int) -> list[int]:
    chain: list[int] = []
    here: int | None = goal
    while here is not None:
        chain.append(here)
        here = came_from[here]
    return chain[::-1]
