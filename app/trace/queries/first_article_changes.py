"""What has changed since the first article before: the drawing, the plan, the way it is made, the material."""

from collections.abc import Callable, Iterator
from typing import TypeVar

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotCharacteristic, LotOperation
from app.lots.queries import get_lot
from app.material.queries import IssuedPieces, issued_to_lots
from app.parts.models import Revision
from app.parts.queries import limits_words
from app.shared.words import gettext

Numbered = TypeVar("Numbered")


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
    def named(number: int, _operation: LotOperation) -> str:
        return gettext("op %(number)s", number=number)

    return _of_numbered(before, now, named, _done_where)


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
    def named(number: int, characteristic: LotCharacteristic) -> str:
        return gettext("characteristic %(number)s %(name)s", number=number, name=characteristic.name)

    return _of_numbered(before, now, named, _asked)


def _of_numbered(
    before: dict[int, Numbered],
    now: dict[int, Numbered],
    named: Callable[[int, Numbered], str],
    said: Callable[[Numbered], str],
) -> Iterator[str]:
    """Say which numbers are new, which are gone, and of which something else is said."""
    for number in sorted(before.keys() | now.keys()):
        one, other = before.get(number), now.get(number)
        if one is None and other is not None:
            yield gettext("%(what)s is new: %(said)s", what=named(number, other), said=said(other) or "–")
        elif other is None and one is not None:
            yield gettext("%(what)s is no longer there: %(said)s", what=named(number, one), said=said(one) or "–")
        elif one is not None and other is not None:
            yield from _changed(named(number, other), said(other), said(one))


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
