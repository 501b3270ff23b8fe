"""What the page that orders blanks is filled with, and what its rows are called."""

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot
from app.material.models import MaterialOrderLine
from app.material.queries import working_days_from
from app.parts.models import Revision
from app.purchasing.queries.blanks import blank_needs, last_purchases
from app.purchasing.queries.cover import Need


@dataclass(frozen=True, slots=True)
class ProposedLine:
    """Blanks of one revision: for which lots, how many units, at what price and expected when."""

    revision: Revision
    needs: list[Need]
    unit_price: Decimal
    expected_on: date

    @property
    def units(self) -> int:
        """Return how many of the vendor's units the lots need."""
        return -(-sum(need.to_order for need in self.needs) // self.revision.pieces_per_unit)


@dataclass(frozen=True, slots=True)
class ProposedOrder:
    """A purchase from the vendor that these blanks were mostly bought from last."""

    vendor: str
    ordered_on: date
    lines: list[ProposedLine]


def proposed_order(session: orm.Session, revision_ids: Sequence[int], today: date) -> ProposedOrder:
    """Return what a purchase of some revisions' blanks would be; eight statements."""
    revisions = _revisions(session, revision_ids)
    needs = [need for need in blank_needs(session, revisions) if need.to_order]
    last = last_purchases(session, revisions)
    ready_on = {key: today + timedelta(days=_lead_days(each, needs)) for key, each in revisions.items()}
    working = working_days_from(session, ready_on.values())
    lines = [
        ProposedLine(
            revision=revision,
            needs=[need for need in needs if need.lot.revision_id == key],
            unit_price=last[key].unit_price if key in last else revision.blank_price,
            expected_on=working[ready_on[key]],
        )
        for key, revision in revisions.items()
    ]
    return ProposedOrder(_usual_vendor(last.values()), today, lines)


def _revisions(session: orm.Session, revision_ids: Collection[int]) -> dict[int, Revision]:
    chosen = sa.select(Revision).where(Revision.id.in_(revision_ids)).options(orm.joinedload(Revision.part))
    found = {revision.id: revision for revision in session.scalars(chosen)}
    return {key: found[key] for key in dict.fromkeys(revision_ids) if key in found}


def _lead_days(revision: Revision, needs: list[Need]) -> int:
    """Return the longest lead time that a lot reckons with, else the blank's own."""
    return max(
        (need.lead_days for need in needs if need.lot.revision_id == revision.id), default=revision.blank_lead_days
    )


def _usual_vendor(last: Collection[MaterialOrderLine]) -> str:
    names = Counter(line.order.vendor.name for line in last if line.order.vendor.active)
    return names.most_common(1)[0][0] if names else ""


@dataclass(frozen=True, slots=True)
class Named:
    """The revisions and lots that a form's rows are about, and what each lot waits for."""

    revisions: dict[int, Revision]
    lots: dict[int, Lot]
    needs: dict[int, Need]


def named_rows(session: orm.Session, revision_ids: Collection[int], lot_ids: Collection[int]) -> Named:
    """Read what a form's rows are about; eight statements."""
    lots = session.scalars(sa.select(Lot).where(Lot.id.in_(lot_ids)))
    return Named(
        revisions=_revisions(session, revision_ids),
        lots={lot.id: lot for lot in lots},
        needs={need.lot.id: need for need in blank_needs(session, revision_ids)},
    )
