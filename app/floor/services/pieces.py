"""Moves of some pieces of an operation that are not its sign-off."""

from dataclasses import dataclass, replace
from enum import StrEnum

from sqlalchemy import orm

from app.floor.services.sent import Sent, working
from app.floor.services.undoing import refuse_without_role
from app.lots import services as ledger
from app.lots.services import Act
from app.shared.words import gettext


class PieceMove(StrEnum):
    """What is done with some pieces; the value is its place in addresses."""

    COUNT = "counts"
    SEND_AHEAD = "sent-ahead"
    SPLIT = "splits"
    HOLD = "holds"
    RELEASE = "releases"
    SCRAP = "scraps"
    REWORK = "reworks"


@dataclass(frozen=True, slots=True)
class Pieces:
    """Some pieces of an operation, why, and the other operation it is about: the cause, or where rework goes."""

    operation_id: int
    pieces: int
    reason: str = ""
    other_id: int | None = None


def move_pieces(session: orm.Session, sent: Sent, move: PieceMove, what: Pieces) -> None:
    """Do with some pieces of an operation what was asked, as the person who is signed on.

    Raises:
        NobodySignedOnError: nobody is signed on.
        RoleNeededError: held pieces are released by a setup lead, an inspector or an owner.
        LedgerError: it cannot be true.
    """
    with working(session, sent) as act:
        if move is PieceMove.RELEASE:
            refuse_without_role(session, act, gettext("Releasing what is held"))
        _carry_out(session, act, move, what)


def _carry_out(session: orm.Session, act: Act, move: PieceMove, what: Pieces) -> None:
    match move:
        case PieceMove.COUNT:
            ledger.count_so_far(session, act, what.operation_id, what.pieces)
        case PieceMove.SEND_AHEAD:
            ledger.send_ahead(session, act, what.operation_id, what.pieces)
        case PieceMove.SPLIT:
            ledger.split_lot(session, act, what.operation_id, what.pieces)
        case PieceMove.HOLD:
            ledger.hold_pieces(session, act, what.operation_id, what.pieces, what.reason)
        case PieceMove.RELEASE:
            ledger.release_pieces(session, replace(act, note=what.reason), what.operation_id, what.pieces)
        case PieceMove.SCRAP:
            ledger.scrap_pieces(session, act, what.operation_id, what.pieces, what.reason, what.other_id)
        case PieceMove.REWORK:
            ledger.rework_pieces(session, act, what.operation_id, what.pieces, what.other_id or 0, what.reason)


def hold_whole_lot(session: orm.Session, sent: Sent, lot_id: int, reason: str) -> None:
    """Put a whole lot on hold.

    Raises:
        NobodySignedOnError: nobody is signed on.
        LedgerError: it is on hold already, or no reason is given.
    """
    with working(session, sent) as act:
        ledger.hold_lot(session, act, lot_id, reason)


def release_whole_lot(session: orm.Session, sent: Sent, lot_id: int) -> None:
    """Let a lot that is on hold go on.

    Raises:
        NobodySignedOnError: nobody is signed on.
        RoleNeededError: it takes a setup lead, an inspector or an owner.
        LedgerError: it is not on hold.
    """
    with working(session, sent) as act:
        refuse_without_role(session, act, gettext("Releasing what is held"))
        ledger.release_lot_hold(session, act, lot_id)
