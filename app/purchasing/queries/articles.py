"""What is bought: the blanks of a revision, or a component that is fitted as it comes."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

import sqlalchemy as sa
from sqlalchemy import orm

from app.parts import queries as part_queries
from app.parts.models import BlankForm, BlankSource, Part, Revision
from app.shared.words import gettext


class Key(NamedTuple):
    """Which article: one of the two, as a material order line and a receipt keep it."""

    revision_id: int | None = None
    part_id: int | None = None


@dataclass(frozen=True, slots=True)
class Article:
    """Something that is bought.

    Attributes:
        part: what it is for, or, for a component, what it is.
        revision: whose blanks they are; for a component its current revision, which has its price and lead time.
        component: whether it is a component.
    """

    part: Part
    revision: Revision | None
    component: bool = False

    @property
    def key(self) -> Key:
        """Return what tells it from others."""
        if self.component or self.revision is None:
            return Key(part_id=self.part.id)
        return Key(revision_id=self.revision.id)

    @property
    def form(self) -> BlankForm:
        """Return the vendor's unit; components are bought by the piece."""
        return BlankForm.PIECE if self.component or self.revision is None else self.revision.blank_form

    @property
    def pieces_per_unit(self) -> int:
        """Return how many pieces one unit gives."""
        return 1 if self.component or self.revision is None else self.revision.pieces_per_unit

    @property
    def lead_days(self) -> int:
        """Return the calendar days from ordering to having it; 0: not known."""
        return self.revision.blank_lead_days if self.revision else 0

    @property
    def price(self) -> Decimal:
        """Return the price of one unit as the revision says it."""
        return self.revision.blank_price if self.revision else Decimal(0)

    @property
    def from_customer(self) -> bool:
        """Say whether the customer sends it."""
        return self.revision is not None and self.revision.blank_source is BlankSource.CUSTOMER

    @property
    def item(self) -> str:
        """Return the number of the part, with the revision whose blanks they are."""
        if self.component or self.revision is None:
            return self.part.number
        return f"{self.part.number} {self.revision.label}"

    @property
    def what(self) -> str:
        """Return in a few words what it is: ``Sawn bar 50 for HB-100 A``, ``PIN-6 Dowel pin``."""
        if self.component or self.revision is None:
            words = f"{self.part.number} {self.part.name}"
        else:
            words = gettext("%(blank)s for %(item)s", blank=self.revision.blank or gettext("Blanks"), item=self.item)
        return gettext("%(what)s, from the customer", what=words) if self.from_customer else words


def blanks_of(revision: Revision) -> Article:
    """Return the blanks of a revision; its part is loaded."""
    return Article(revision.part, revision)


def bought_components(session: orm.Session, part_ids: Iterable[int]) -> dict[int, Article]:
    """Return those of some parts that are bought, not made here, by id; one statement."""
    bought = part_queries.bought_parts(session, set(part_ids))
    return {part.id: Article(part, revision, component=True) for part, revision in bought}


def articles(session: orm.Session, keys: Iterable[Key]) -> dict[Key, Article]:
    """Return articles in the order of ``keys``, each once; what there is not, or is made here, is left out.

    Two statements.
    """
    asked = list(dict.fromkeys(keys))
    revisions = session.scalars(
        sa.select(Revision)
        .where(Revision.id.in_([key.revision_id for key in asked]))
        .options(orm.joinedload(Revision.part))
    )
    found = {Key(revision_id=each.id): blanks_of(each) for each in revisions}
    components = bought_components(session, [key.part_id for key in asked if key.part_id is not None])
    found |= {Key(part_id=part_id): each for part_id, each in components.items()}
    return {key: found[key] for key in asked if key in found}
