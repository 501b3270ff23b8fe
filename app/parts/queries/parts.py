"""Parts and their revisions: lists, choosers, and one of them."""

from collections.abc import Collection

import sqlalchemy as sa
from sqlalchemy import orm

from app.parts.errors import PartNotFoundError, RevisionNotFoundError
from app.parts.models import Component, Part, Revision, Routing
from app.shared.database import lock_row
from app.shared.paging import Page, contains, paged
from app.shared.units import UnitSystem
from app.stations.queries import find_shop


def shop_units(session: orm.Session) -> UnitSystem:
    """Return the units of the shop; inch and pound before there is a shop."""
    shop = find_shop(session)
    return shop.units if shop else UnitSystem.INCH


def _matching(words: str) -> sa.Select[Part]:
    """Select parts whose number or name has each of the ``words``: active ones first, then numbers that begin so."""
    begins = sa.case((Part.number.istartswith(words, autoescape=True), 0), else_=1)
    chosen = sa.select(Part).order_by(Part.active.desc(), begins, sa.func.lower(Part.number), Part.id)
    for word in words.split():
        chosen = chosen.where(contains(Part.number, word) | contains(Part.name, word))
    return chosen


def parts_page(session: orm.Session, words: str, number: int) -> Page[Part]:
    """Return a page of parts with their current revision: all of them, or those that have ``words``."""
    return paged(session, _matching(words).options(orm.selectinload(Part.current_revision)), number)


def newest_versions(session: orm.Session, revision_ids: Collection[int]) -> dict[int, int]:
    """Return the newest routing version of each revision that has one."""
    newest = (
        sa.select(Routing.revision_id, sa.func.max(Routing.version).label("newest"))
        .where(Routing.revision_id.in_(revision_ids))
        .group_by(Routing.revision_id)
    )
    return {row.revision_id: row.newest for row in session.execute(newest)}


def find_parts(session: orm.Session, words: str, limit: int = 20) -> list[Part]:
    """Return active parts for a chooser, with their current revision: by number or name, the best match first."""
    chosen = _matching(words).where(Part.active).options(orm.joinedload(Part.current_revision)).limit(limit)
    return list(session.scalars(chosen).unique())


def part_by_number(session: orm.Session, number: str) -> Part | None:
    """Return the part with this number, capitals or not; None where there is none."""
    exactly_first = sa.case((Part.number == number, 0), else_=1)
    same = sa.select(Part).where(sa.func.lower(Part.number) == sa.func.lower(number)).order_by(exactly_first)
    return session.scalars(same.options(orm.joinedload(Part.current_revision)).limit(1)).unique().one_or_none()


def get_part(session: orm.Session, part_id: int, *, lock: bool = False) -> Part:
    """Return one part.

    Raises:
        PartNotFoundError: there is none with this key.
    """
    part = lock_row(session, Part, part_id) if lock else session.get(Part, part_id)
    if part is None:
        raise PartNotFoundError
    return part


def part_page(session: orm.Session, part_id: int, revision_id: int | None) -> tuple[Part, Revision]:
    """Return a part with all its revisions, and of these the one asked for, else the current, else the newest.

    The chosen revision has its components with their parts.

    Raises:
        PartNotFoundError: there is no such part.
        RevisionNotFoundError: it has no such revision.
    """
    part = session.get(Part, part_id, options=[orm.selectinload(Part.revisions)], populate_existing=True)
    if part is None:
        raise PartNotFoundError
    by_current = sorted(part.revisions, key=lambda revision: (revision.current, revision.id))
    chosen = [revision for revision in by_current if revision_id in {None, revision.id}]
    if not chosen:
        raise RevisionNotFoundError
    return part, get_revision(session, chosen[-1].id)


def get_revision(session: orm.Session, revision_id: int, *, lock: bool = False) -> Revision:
    """Return one revision with its part and its components.

    Raises:
        RevisionNotFoundError: there is none with this key.
    """
    found = (
        sa.select(Revision)
        .where(Revision.id == revision_id)
        .options(orm.joinedload(Revision.part), orm.selectinload(Revision.components).joinedload(Component.part))
        .execution_options(populate_existing=True)
    )
    revision = session.scalars(found.with_for_update(of=Revision) if lock else found).one_or_none()
    if revision is None:
        raise RevisionNotFoundError
    return revision


def current_revision(session: orm.Session, part_id: int) -> Revision | None:
    """Return the revision of a part that is offered for new orders; None where there is none."""
    current = sa.select(Revision).where(Revision.part_id == part_id, Revision.current).order_by(Revision.id.desc())
    return session.scalars(current.options(orm.joinedload(Revision.part)).limit(1)).one_or_none()


def bought_parts(session: orm.Session, part_ids: Collection[int]) -> list[tuple[Part, Revision | None]]:
    """Return those of some parts that are bought, each with its current revision; one statement.

    A part is made here once one of its revisions has a routing.
    """
    made = sa.select(Revision.part_id).join(Revision.routings)
    rows = session.execute(
        sa.select(Part, Revision)
        .outerjoin(Revision, sa.and_(Revision.part_id == Part.id, Revision.current))
        .where(Part.id.in_(part_ids), Part.id.not_in(made))
        .order_by(Part.number)
    )
    return [(part, revision) for part, revision in rows]


def used_in(session: orm.Session, part_id: int) -> list[Revision]:
    """Return the current revisions of other parts that take this part as a component, by number."""
    users = (
        sa.select(Revision)
        .join(Revision.part)
        .where(Revision.current, Revision.components.any(Component.part_id == part_id))
        .options(orm.contains_eager(Revision.part))
        .order_by(sa.func.lower(Part.number))
    )
    return list(session.scalars(users))
