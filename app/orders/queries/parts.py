"""Parts as the order form looks them up: by what a person types."""

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.parts.models import Part, Revision, Routing
from app.shared.paging import contains

SUGGESTED = 20


@dataclass(frozen=True, slots=True)
class RevisionChoice:
    """A revision that can be ordered; without a routing it can be ordered, but no lot of it released."""

    id: int
    label: str
    current: bool
    has_routing: bool


@dataclass(frozen=True, slots=True)
class PartChoice:
    """A part and the revisions of it that can be ordered."""

    id: int
    number: str
    name: str
    active: bool
    revisions: tuple[RevisionChoice, ...]

    @property
    def labels(self) -> tuple[str, ...]:
        """Return the labels of its revisions, oldest first."""
        return tuple(revision.label for revision in self.revisions)

    def revision(self, label: str) -> RevisionChoice | None:
        """Return the revision with this label (the current one for an empty label), or None."""
        wanted = label.casefold()
        for choice in self.revisions:
            if choice.label == label or (not label and choice.current):
                return choice
        return next((choice for choice in self.revisions if wanted and choice.label.casefold() == wanted), None)


class PartsByNumber:
    """Parts found by their typed numbers; small and capital letters are told apart only where two parts differ so."""

    def __init__(self, choices: Iterable[PartChoice]) -> None:
        self._exact = {choice.number: choice for choice in choices}
        self._folded = {choice.number.casefold(): choice for choice in self._exact.values()}

    def find(self, number: str) -> PartChoice | None:
        """Return the part with this number, or None."""
        return self._exact.get(number) or self._folded.get(number.casefold())


def find_parts(session: orm.Session, numbers: Iterable[str]) -> PartsByNumber:
    """Return the parts with these numbers and their revisions, in three statements."""
    typed = sorted(set(numbers))
    folded = sorted({number.lower() for number in typed})
    parts = session.scalars(
        sa.select(Part)
        .where(sa.or_(Part.number.in_(typed), sa.func.lower(Part.number).in_(folded)))
        .options(orm.selectinload(Part.revisions))
    ).all()
    with_routing = set(
        session.scalars(
            sa.select(Routing.revision_id)
            .join(Routing.revision)
            .where(Revision.part_id.in_([part.id for part in parts]))
            .distinct()
        )
    )
    return PartsByNumber(_choice(part, with_routing) for part in parts)


def _choice(part: Part, with_routing: set[int]) -> PartChoice:
    revisions = tuple(
        RevisionChoice(revision.id, revision.label, revision.current, revision.id in with_routing)
        for revision in part.revisions
    )
    return PartChoice(part.id, part.number, part.name, part.active, revisions)


def suggest_parts(session: orm.Session, typed: str) -> Sequence[Part]:
    """Return some active parts whose number or name has ``typed`` in it, those whose number begins with it first."""
    begins = Part.number.istartswith(typed, autoescape=True)
    return session.scalars(
        sa.select(Part)
        .where(Part.active, sa.or_(contains(Part.number, typed), contains(Part.name, typed)))
        .order_by(begins.desc(), Part.number)
        .limit(SUGGESTED)
    ).all()


def similar_numbers(session: orm.Session, mistyped: Iterable[str]) -> dict[str, list[str]]:
    """Return for each mistyped number up to three numbers of active parts that look like it; one statement."""
    known = {each.casefold(): each for each in session.scalars(sa.select(Part.number).where(Part.active))}
    return {
        number: [known[folded] for folded in difflib.get_close_matches(number.casefold(), known, n=3, cutoff=0.75)]
        for number in mistyped
    }


def revisions_without_routing(session: orm.Session, revision_ids: Iterable[int]) -> set[int]:
    """Return those of ``revision_ids`` that have no routing; one statement."""
    asked = set(revision_ids)
    found = session.scalars(sa.select(Routing.revision_id).where(Routing.revision_id.in_(asked)).distinct())
    return asked - set(found)
