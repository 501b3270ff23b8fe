"""What is decided about suspect pieces: every piece is accounted for in the ledger."""

from dataclasses import asdict, dataclass, replace
from decimal import Decimal

from sqlalchemy import orm

from app.lots import services as ledger
from app.lots.models import LotOperation, Posting
from app.lots.services import Act
from app.lots.services.acts import content_hash
from app.quality import queries
from app.quality.errors import (
    AgreedByMissingError,
    CostMissingError,
    DecidedMeanwhileError,
    NotSoManyHereError,
    ReworkWhereError,
    VendorMissingError,
    WhyMissingError,
)
from app.quality.models import Disposition, Nonconformance, Outcome, Waiver
from app.quality.services.keys import kept_before
from app.quality.services.suspects import release_our_hold
from app.shared.database import transaction
from app.shared.words import gettext


@dataclass(frozen=True, slots=True)
class NewDisposition:
    """What somebody with the right to it decides about some of the pieces.

    Attributes:
        outcome: what becomes of them.
        pieces: how many.
        left: about how many nothing was decided when the form was shown.
        at_operation_id: the operation where the pieces are; None: finished, in stock.
        to_operation_id: for rework, where they go on.
        cost: for scrap.
        agreed_by: for use as is: who at the customer agreed.
        vendor_id: who they go back to.
        reason: why.
    """

    outcome: Outcome
    pieces: int
    left: int
    at_operation_id: int | None
    reason: str
    to_operation_id: int | None = None
    cost: Decimal | None = None
    agreed_by: str = ""
    vendor_id: int | None = None


def dispose(session: orm.Session, act: Act, nonconformance_id: int, new: NewDisposition) -> Disposition:
    """Decide about some of the suspect pieces. Once all are decided about, the hold on their lot ends.

    Pieces that go back to a vendor have a place of their own in the ledger: they are no scrap of the shop.

    Raises:
        NonconformanceNotFoundError: there is no such one.
        DispositionError: one of its kinds; DecidedMeanwhileError where somebody else was quicker.
        LedgerError: the pieces are not where they are said to be.
    """
    content = {"nonconformance": nonconformance_id, **asdict(new)}
    with transaction(session):
        found = queries.get_nonconformance(session, nonconformance_id, lock=True)
        kept = kept_before(session, Disposition, act.key, content)
        if kept is not None:
            return kept
        _check(found, new)
        moving = replace(act, key=f"{act.key}/pieces")
        if new.at_operation_id is None:
            posting = _move_finished(session, moving, found, new)
        else:
            posting = _move(session, moving, found, _operation(found, new.at_operation_id), new)
        made = Disposition(
            outcome=new.outcome,
            pieces=new.pieces,
            to_operation_id=new.to_operation_id if new.outcome is Outcome.REWORK else None,
            cost=new.cost if new.outcome is Outcome.SCRAP else None,
            agreed_by=new.agreed_by.strip() if new.outcome is Outcome.USE_AS_IS else "",
            vendor_id=new.vendor_id if new.outcome is Outcome.BACK_TO_VENDOR else None,
            reason=new.reason.strip(),
            posting_id=posting.id if posting else None,
            person_id=act.person_id,
            recorded_at=act.recorded_at,
            client_key=act.key,
            content_hash=content_hash(Disposition.__name__, content),
        )
        found.dispositions.append(made)
        found.decided += new.pieces
        if not found.left:
            _close(session, act, found)
    return made


def _check(found: Nonconformance, new: NewDisposition) -> None:
    if found.left != new.left:
        last = found.dispositions[-1].person if found.dispositions else None
        raise DecidedMeanwhileError(last.name if last else gettext("Somebody"), found.left)
    if not 1 <= new.pieces <= found.left:
        raise NotSoManyHereError(found.left)
    if not new.reason.strip():
        raise WhyMissingError
    match new.outcome:
        case Outcome.SCRAP if new.cost is None:
            raise CostMissingError
        case Outcome.USE_AS_IS if not new.agreed_by.strip():
            raise AgreedByMissingError
        case Outcome.BACK_TO_VENDOR if new.vendor_id is None:
            raise VendorMissingError


def _operation(found: Nonconformance, operation_id: int) -> LotOperation:
    here = queries.whereabouts(found)
    return next((each for each in here.operations if each.id == operation_id), here.found_at)


def _move(
    session: orm.Session, act: Act, found: Nonconformance, operation: LotOperation, new: NewDisposition
) -> Posting | None:
    """Move the pieces as decided; used as they are, they stay where they are and may be signed off."""
    why = f"{queries.nonconformance_name(found)}: {new.reason.strip()}"
    match new.outcome:
        case Outcome.REWORK:
            target = next((each for each in operation.lot.operations if each.id == new.to_operation_id), None)
            if target is None or target.skipped or target.number > operation.number:
                raise ReworkWhereError
            return ledger.rework_pieces(session, act, operation.id, new.pieces, target.id, why)
        case Outcome.USE_AS_IS:
            if operation.lot_id != found.found_at.lot_id and operation.measured:
                session.add(_waiver(act, operation, new, why))
            return None
        case Outcome.SCRAP:
            return ledger.scrap_pieces(session, act, operation.id, new.pieces, why, operation.id)
        case Outcome.BACK_TO_VENDOR:
            return ledger.send_back_to_vendor(session, act, operation.id, new.pieces, why)


def _move_finished(session: orm.Session, act: Act, found: Nonconformance, new: NewDisposition) -> Posting | None:
    """Move pieces out of stock as decided; used as they are, they stay there and may be shipped."""
    why = f"{queries.nonconformance_name(found)}: {new.reason.strip()}"
    here = queries.whereabouts(found)
    match new.outcome:
        case Outcome.REWORK:
            if new.to_operation_id not in {each.id for each in found.lot.operations if not each.skipped}:
                raise ReworkWhereError
            return ledger.rework_finished(session, act, found.lot_id, new.pieces, new.to_operation_id or 0, why)
        case Outcome.USE_AS_IS:
            return None
        case Outcome.SCRAP:
            return ledger.scrap_finished(session, act, found.lot_id, new.pieces, why, here.found_at.id)
        case Outcome.BACK_TO_VENDOR:
            return ledger.send_finished_back_to_vendor(session, act, found.lot_id, new.pieces, why)


def _waiver(act: Act, operation: LotOperation, new: NewDisposition, why: str) -> Waiver:
    """Let pieces that were split off, and are used as they are, pass the operation without readings of their own."""
    return Waiver(
        operation_id=operation.id,
        pieces=queries.made_so_far(operation).done + new.pieces,
        reason=gettext("Used as they are, agreed by %(who)s. %(why)s", who=new.agreed_by.strip(), why=why),
        missing="",
        person_id=act.person_id,
        happened_at=act.happened_at,
        recorded_at=act.recorded_at,
        client_key=f"{act.key}/waiver",
        content_hash="",
    )


def _close(session: orm.Session, act: Act, found: Nonconformance) -> None:
    found.closed_at = act.recorded_at
    session.flush()
    release_our_hold(session, replace(act, key=f"{act.key}/release"), found.lot, found)
