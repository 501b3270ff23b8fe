"""What the open lots wait for, blanks and bought components alike, and where it will come from."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotOperation
from app.lots.queries import ComponentDemand, component_demands
from app.material import queries as material_queries
from app.material.models import Issue, MaterialOrder, MaterialOrderLine, Receipt
from app.parts.models import KindRole, OperationKind, Revision
from app.purchasing.models import Purpose
from app.purchasing.queries.articles import Article, Key, blanks_of, bought_components
from app.purchasing.queries.cover import Need, Supply, cover, lot_rank


@dataclass(frozen=True, slots=True)
class Wanted:
    """One article and the lots that wait for it, first in rank first, with what covers each."""

    article: Article
    needs: list[Need]


def wanted_articles(session: orm.Session, keys: Collection[Key] | None = None) -> list[Wanted]:
    """Return what lots wait for and where it will come from: of all articles, or of some; ten statements.

    Blanks are what waits at blank-ordering operations, components what operations still take of parts that are bought.
    """
    blanks = _blank_needs(session, None if keys is None else {key.revision_id for key in keys if key.revision_id})
    components, at_stations = _component_needs(session, None if keys is None else {key.part_id for key in keys})
    wanted = {each.article.key: each for each in (*blanks, *components)}
    lot_ids = {need.lot.id for each in wanted.values() for need in each.needs}
    for key, supplies in read_supplies(session, wanted, lot_ids).items():
        _leave_at_stations(supplies, at_stations[key.part_id])
        cover(wanted[key].needs, supplies)
    return list(wanted.values())


def needs_of(session: orm.Session, key: Key) -> list[Need]:
    """Return the lots that wait for one article, first in rank first."""
    return [need for each in wanted_articles(session, [key]) for need in each.needs]


def _blank_needs(session: orm.Session, revision_ids: Collection[int] | None) -> list[Wanted]:
    chosen = (
        sa.select(LotOperation)
        .join(LotOperation.kind)
        .join(LotOperation.lot)
        .where(OperationKind.role == KindRole.BLANKS, LotOperation.waiting > 0, Lot.closed_at.is_(None))
        .options(
            orm.defer(LotOperation.instructions),
            orm.contains_eager(LotOperation.lot).joinedload(Lot.revision).joinedload(Revision.part),
        )
    )
    if revision_ids is not None:
        chosen = chosen.where(Lot.revision_id.in_(revision_ids))
    found: dict[int, Wanted] = {}
    for operation in sorted(session.scalars(chosen), key=lambda each: lot_rank(each.lot)):
        revision = operation.lot.revision
        lead_days = revision.blank_lead_days or operation.lead_days
        wanted = found.setdefault(revision.id, Wanted(blanks_of(revision), []))
        wanted.needs.append(Need(operation.lot, operation.waiting, lead_days))
    return list(found.values())


def _component_needs(
    session: orm.Session, part_ids: Collection[int | None] | None
) -> tuple[list[Wanted], Counter[int | None]]:
    """Return what lots wait for of bought components, and by part what lies at stations for work that is begun."""
    at_stations = Counter[int | None]()
    if part_ids is not None and not any(part_ids):
        return [], at_stations
    demands = [each for each in component_demands(session) if part_ids is None or each.part.id in part_ids]
    bought = bought_components(session, {demand.part.id for demand in demands}) if demands else {}
    found: dict[int, Wanted] = {}
    for (part_id, _), same in _by_part_and_lot(demands).items():
        at_stations[part_id] += sum(each.begun for each in same)
        waiting = sum(each.waiting for each in same)
        if part_id in bought and waiting:
            wanted = found.setdefault(part_id, Wanted(bought[part_id], []))
            wanted.needs.append(Need(same[0].lot, waiting, bought[part_id].lead_days))
    return list(found.values()), at_stations


def _by_part_and_lot(demands: Iterable[ComponentDemand]) -> dict[tuple[int, int], list[ComponentDemand]]:
    found: dict[tuple[int, int], list[ComponentDemand]] = defaultdict(list)
    for demand in sorted(demands, key=lambda each: lot_rank(each.lot)):
        found[demand.part.id, demand.lot.id].append(demand)
    return found


def _leave_at_stations(supplies: Iterable[Supply], pieces: int) -> None:
    """Take from what is at hand what lies at stations already."""
    for supply in supplies:
        share = min(pieces, supply.at_hand)
        supply.at_hand -= share
        pieces -= share


def read_supplies(session: orm.Session, keys: Collection[Key], lot_ids: Collection[int]) -> dict[Key, list[Supply]]:
    """Return what is at hand and on order of some articles, soonest first; four statements.

    Args:
        session: where to read.
        keys: which articles.
        lot_ids: the lots whose purchases are of interest.
    """
    lines = material_queries.open_lines_about(session, _revisions(keys), _parts(keys))
    open_lines = {line.id: (Key(line.revision_id, line.part_id), line) for line in lines}
    at_hand = _at_hand(session, keys)
    meant = meant_pieces(session, lot_ids)
    found: dict[Key, list[Supply]] = {key: [] for key in keys}
    for (key, line_id), pieces in at_hand.items():
        if line_id not in open_lines:
            found[key].append(Supply(None, pieces, 0, meant.get(line_id or 0, {})))
    for key, line in open_lines.values():
        stock = at_hand.get((key, line.id), 0)
        found[key].append(Supply(line, stock, line.still_expected, meant.get(line.id, {})))
    return found


def _at_hand(session: orm.Session, keys: Collection[Key]) -> dict[tuple[Key, int | None], int]:
    """Return the pieces at hand by article and purchase."""
    rows = session.execute(
        sa.select(Receipt.revision_id, Receipt.part_id, Receipt.line_id, sa.func.sum(Receipt.pieces - Receipt.issued))
        .where(_one_of(Receipt, keys), Receipt.issued < Receipt.pieces)
        .group_by(Receipt.revision_id, Receipt.part_id, Receipt.line_id)
    )
    return {(Key(revision_id, part_id), line_id): int(pieces) for revision_id, part_id, line_id, pieces in rows}


def _one_of(table: type[Receipt] | type[MaterialOrderLine], keys: Collection[Key]) -> sa.ColumnElement[bool]:
    return sa.or_(table.revision_id.in_(_revisions(keys)), table.part_id.in_(_parts(keys)))


def _revisions(keys: Iterable[Key]) -> list[int]:
    return [key.revision_id for key in keys if key.revision_id is not None]


def _parts(keys: Iterable[Key]) -> list[int]:
    return [key.part_id for key in keys if key.part_id is not None]


def meant_pieces(session: orm.Session, lot_ids: Collection[int]) -> dict[int, dict[int, int]]:
    """Return by purchase and lot how many pieces were bought for it and are not issued to it; one statement."""
    issued = (
        sa.select(sa.func.coalesce(sa.func.sum(Issue.pieces), 0))
        .join(Issue.receipt)
        .where(Receipt.line_id == Purpose.line_id, Issue.lot_id == Purpose.lot_id)
        .scalar_subquery()
    )
    found: dict[int, dict[int, int]] = defaultdict(dict)
    for purpose, pieces in session.execute(sa.select(Purpose, issued).where(Purpose.lot_id.in_(lot_ids))):
        found[purpose.line_id][purpose.lot_id] = max(0, purpose.pieces - int(pieces))
    return found


def last_purchases(session: orm.Session, keys: Collection[Key]) -> dict[Key, MaterialOrderLine]:
    """Return the last purchase of each article with its vendor, where there was one; one statement."""
    last = (
        sa.select(sa.func.max(MaterialOrderLine.id))
        .where(_one_of(MaterialOrderLine, keys))
        .group_by(MaterialOrderLine.revision_id, MaterialOrderLine.part_id)
    )
    lines = session.scalars(
        sa.select(MaterialOrderLine)
        .where(MaterialOrderLine.id.in_(last))
        .options(orm.joinedload(MaterialOrderLine.order).joinedload(MaterialOrder.vendor))
    )
    return {Key(line.revision_id, line.part_id): line for line in lines}
