"""What has changed since the first article before: the drawing, the plan, the way it is made, the material."""

from collections.abc import Iterator

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotCharacteristic, LotOperation
from app.lots.queries import get_lot
from app.material.queries import IssuedPieces, issued_to_lots
from app.parts.models import Revision
from app.parts.queries import limits_words
from app.shared.words import gettext


def first_article_before(session: orm.Session, lot: Lot) -> Lot | None:
    """Return the lot of the first article that a lot's own is compared with; None for the first one of the part.

    The first lot made to its revision, or, where it is that itself, the first lot of the revision made before.
    """
    rows = session.execute(
        sa.select(Lot.revision_id, sa.func.min(Lot.id).label("first"))
        .join(Lot.revision)
        .where(Revision.part_id == lot.revision.part_id, ~Lot.is_return, Lot.id < lot.id)
        .group_by(Lot.revision_id)
    ).all()
    firsts = {row.revision_id: int(row.first) for row in rows}
    before = firsts.get(lot.revision_id) or max(firsts.values(), default=None)
    return get_lot(session, before) if before is not None else None


def changes_between(session: orm.Session, before: Lot, lot: Lot) -> list[str]:
    """Return in words what differs between two lots of a part, as both were frozen; five statements."""
    return [
        *_of_revisions(before.revision, lot.revision),
        *_of_operations(_operations(before), _operations(lot)),
        *_of_characteristics(_characteristics(session, before), _characteristics(session, lot)),
        *_of_vendors(issued_to_lots(session, [before.id, lot.id]), before, lot),
    ]


def _of_revisions(before: Revision, now: Revision) -> Iterator[str]:
    if before.id == now.id:
        return
    yield gettext("revision %(now)s, was %(before)s", now=now.label, before=before.label)
    material = (f"{each.material} {each.blank}".strip() for each in (now, before))
    yield from _changed(gettext("material"), *material)


def _operations(lot: Lot) -> dict[int, LotOperation]:
    return {each.number: each for each in lot.operations if not each.skipped}


def _of_operations(before: dict[int, LotOperation], now: dict[int, LotOperation]) -> Iterator[str]:
    for number in sorted(before.keys() | now.keys()):
        one, other = before.get(number), now.get(number)
        if one is None and other is not None:
            yield gettext("op %(number)s %(title)s is new", number=number, title=other.title)
        elif other is None and one is not None:
            yield gettext("op %(number)s %(title)s is no longer done", number=number, title=one.title)
        elif one is not None and other is not None:
            where = gettext("op %(number)s", number=number)
            yield from _changed(where, _done_where(other), _done_where(one))


def _done_where(operation: LotOperation) -> str:
    place = operation.work_center.name if operation.work_center else operation.kind.name
    return f"{operation.title}, {place}" if operation.title else place


def _characteristics(session: orm.Session, lot: Lot) -> dict[int, LotCharacteristic]:
    rows = session.scalars(
        sa.select(LotCharacteristic)
        .where(LotCharacteristic.operation_id.in_([each.id for each in lot.operations if not each.skipped]))
        .options(orm.joinedload(LotCharacteristic.gauge_kind))
    )
    return {each.number: each for each in rows}


def _of_characteristics(before: dict[int, LotCharacteristic], now: dict[int, LotCharacteristic]) -> Iterator[str]:
    for number in sorted(before.keys() | now.keys()):
        one, other = before.get(number), now.get(number)
        if one is None and other is not None:
            yield gettext("characteristic %(number)s %(name)s is new", number=number, name=other.name)
        elif other is None and one is not None:
            yield gettext("characteristic %(number)s %(name)s is no longer asked for", number=number, name=one.name)
        elif one is not None and other is not None:
            what = gettext("characteristic %(number)s %(name)s", number=number, name=other.name)
            yield from _changed(what, _asked(other), _asked(one))


def _asked(characteristic: LotCharacteristic) -> str:
    kind = characteristic.gauge_kind.name if characteristic.gauge_kind else ""
    return ", ".join(each for each in (limits_words(characteristic), kind) if each)


def _of_vendors(issued: dict[int, list[IssuedPieces]], before: Lot, lot: Lot) -> Iterator[str]:
    if issued[before.id] and issued[lot.id]:
        yield from _changed(gettext("blanks from"), _vendors(issued[lot.id]), _vendors(issued[before.id]))


def _vendors(held: list[IssuedPieces]) -> str:
    names = {each.receipt.line.order.vendor.name for each in held if each.receipt.revision_id and each.receipt.line}
    return ", ".join(sorted(names)) or gettext("the customer, or found stock")


def _changed(what: str, now: str, before: str) -> Iterator[str]:
    if now != before:
        yield gettext("%(what)s: %(now)s, was %(before)s", what=what, now=now or "–", before=before or "–")
