"""Moving a released lot to another revision from an operation on: the rest of its routing is replaced."""

from collections.abc import Iterable

from sqlalchemy import orm

from app.lots.errors import ChangeError
from app.lots.models import Lot, LotOperation, Posting, Verb
from app.lots.services.acts import Act, earlier_answer
from app.lots.services.books import lock_lot
from app.lots.services.changes import check_can_change, check_not_begun, note_change, operation_of
from app.lots.services.due import refresh_due
from app.lots.services.release import Step, copy_operations, freeze_components, freeze_plan, newest_routing
from app.parts.models import KindRole, Revision, Routing
from app.parts.queries import get_revision
from app.shared.database import transaction
from app.shared.words import gettext


def move_to_revision(session: orm.Session, act: Act, lot_id: int, revision_id: int, operation_id: int) -> Posting:
    """Make the lot to another revision, or by a newer routing of its own, from an operation that is not begun on.

    The operations from there are removed, and those of the newest routing with its number or a higher one take their
    place, with scan codes of their own. Deliveries stay: the lot's page says which ask for another revision.

    Raises:
        ReasonMissingError: no reason is given (``act.note``).
        ChangeError: the operation is begun, the revision is of another part or nothing new, or has nothing from there.
        ReleaseError: the revision has no routing.
        OperationNotFoundError: the operation is not one of the lot's.
    """
    content = {"lot": lot_id, "revision": revision_id, "from": operation_id}
    with transaction(session):
        lot = lock_lot(session, lot_id)
        answer = earlier_answer(session, act, Verb.CHANGE_LOT, content)
        if answer is not None:
            return answer
        check_can_change(act, lot)
        operation = operation_of(lot, operation_id)
        check_not_begun(operation)
        before, revision = get_revision(session, lot.revision_id), get_revision(session, revision_id)
        routing = newest_routing(session, revision_id)
        _check_is_new(lot, before, revision, routing)
        removed, added = _replace(session, lot, operation, routing)
        lot.revision_id, lot.routing_id = revision.id, routing.id
        words = _words(before, revision, removed, added)
        posting = note_change(session, act, lot, content, operation, words)
        session.flush()
        session.expire(lot)
        refresh_due(session, lot)
        return posting


def _check_is_new(lot: Lot, before: Revision, revision: Revision, routing: Routing) -> None:
    if revision.part_id != before.part_id:
        raise ChangeError(gettext("This revision is of another part. Choose one of the lot's own part."))
    if routing.id == lot.routing_id:
        raise ChangeError(gettext("The lot is made to the newest routing of this revision already."))


def _replace(
    session: orm.Session, lot: Lot, operation: LotOperation, routing: Routing
) -> tuple[list[LotOperation], list[LotOperation]]:
    steps = [
        Step(each, each.kind_id, each.work_center_id, each.files)
        for each in routing.operations
        if each.number >= operation.number and each.kind.role is not KindRole.BLANKS
    ]
    if not steps:
        raise ChangeError(gettext("That revision has no operation from number %(number)s on.", number=operation.number))
    removed = [each for each in lot.operations if each.number >= operation.number]
    for each in removed:
        each.skipped = each.removed = True
    session.flush()  # before their numbers are given again
    added = copy_operations(session, steps)
    lot.operations.extend(added)
    session.flush()
    freeze_components(session, routing.revision_id, added)
    freeze_plan(session, routing.revision_id, added)
    return removed, added


def _words(before: Revision, revision: Revision, removed: list[LotOperation], added: list[LotOperation]) -> str:
    return gettext(
        "revision %(old)s → %(new)s: %(removed)s replaced by %(added)s",
        old=before.label,
        new=revision.label,
        removed=_named(removed),
        added=_named(added),
    )


def _named(operations: Iterable[LotOperation]) -> str:
    return ", ".join(f"{gettext('op %(number)s', number=each.number)} {each.title}".strip() for each in operations)
