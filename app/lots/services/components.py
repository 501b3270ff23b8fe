"""Components that go into a lot at an operation: scanned as a lot of ours or as a receipt."""

from dataclasses import dataclass

from sqlalchemy import orm

from app.lots.errors import NotAComponentError, NothingHereError, OperationNotFoundError
from app.lots.models import ComponentUse, Lot, LotComponent, LotOperation, Place, Posting, Verb
from app.lots.queries.names import lot_name, operation_name
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.begin import check_can_work
from app.lots.services.books import Move, Spot, lock_lots, mark, write
from app.material import services as material_services
from app.material.models import Receipt
from app.people.models import Person
from app.shared.database import transaction
from app.shared.words import gettext


@dataclass(frozen=True, slots=True)
class ComponentSource:
    """Where components come from: one of our lots, or a receipt."""

    lot_id: int | None = None
    receipt_id: int | None = None


def use_component(session: orm.Session, act: Act, operation_id: int, source: ComponentSource, pieces: int) -> Posting:
    """Record components that go into a lot at an operation.

    Raises:
        NotAComponentError: what was scanned does not go into this operation.
        NothingHereError: not even one piece.
        TooManyPiecesError: the component lot has fewer finished pieces in stock.
        PlainError: the receipt has fewer at hand.
        LotOnHoldError: either lot is on hold.
    """
    content = {"operation": operation_id, "lot": source.lot_id, "receipt": source.receipt_id, "pieces": pieces}
    with transaction(session):
        operation = session.get(LotOperation, operation_id)
        if operation is None:
            raise OperationNotFoundError(str(operation_id))
        lots = lock_lots(session, [each for each in (operation.lot_id, source.lot_id) if each is not None])
        answer = earlier_answer(session, act, Verb.USE_COMPONENT, content)
        if answer is not None:
            return answer
        check_can_work(operation)
        if pieces < 1:
            raise NothingHereError(operation_name(operation))
        giver = lots[source.lot_id] if source.lot_id is not None else None
        component = component_from(session, operation, source, giver)
        moves = [mark(operation, act.station_id)]
        if giver is not None:
            check_can_work(giver.operations[-1])
            stock, gone = Spot(Place.IN_STOCK), Spot(Place.OTHER_LOT)
            moves.append(Move(giver, pieces, stock, gone, other_lot_id=operation.lot_id))
        posting = write(session, act, Verb.USE_COMPONENT, content, moves)
        session.add(
            ComponentUse(
                posting_id=posting.id,
                operation_id=operation.id,
                part_id=component.part_id,
                pieces=pieces,
                source_lot_id=source.lot_id,
                receipt_id=source.receipt_id,
            )
        )
        if source.receipt_id is not None:
            by = session.get(Person, act.person_id) if act.person_id else None
            material_services.issue(session, source.receipt_id, operation.lot_id, pieces, by=by, now=act.recorded_at)
    return posting


def component_from(
    session: orm.Session, operation: LotOperation, source: ComponentSource, giver: Lot | None
) -> LotComponent:
    """Return which component of an operation a source, a lot (``giver``) or a receipt, holds.

    Raises:
        NotAComponentError: none.
    """
    receipt = session.get(Receipt, source.receipt_id) if source.receipt_id is not None else None
    part_id = giver.revision.part_id if giver is not None else receipt.part_id if receipt is not None else None
    what = lot_name(giver) if giver is not None else gettext("That receipt")
    for component in operation.components:
        if component.part_id == part_id:
            return component
    raise NotAComponentError(what, operation_name(operation))
