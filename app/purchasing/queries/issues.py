"""What has come in and is not issued, and a proposal which lots get it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotOperation
from app.lots.services import still_wanted
from app.material import queries as material_queries
from app.material.models import MaterialOrder, MaterialOrderLine, Receipt
from app.parts.models import Revision
from app.purchasing.queries.cover import Need, Supply, cover, lot_rank
from app.purchasing.queries.needs import Wanted, meant_pieces


@dataclass(frozen=True, slots=True)
class Proposal:
    """A lot that can get pieces of a receipt.

    Attributes:
        lot: with its revision and part.
        wanted: blanks it waits for.
        bought_for: how many pieces of the receipt's purchase are meant for it and not issued yet.
        pieces: how many are proposed.
    """

    lot: Lot
    wanted: int
    bought_for: int
    pieces: int


@dataclass(frozen=True, slots=True)
class Proposals:
    """A receipt with the lots that can get its pieces, those it was bought for first."""

    receipt: Receipt
    lots: list[Proposal]

    @property
    def left(self) -> int:
        """Return how many pieces stay at hand."""
        return self.receipt.at_hand - sum(each.pieces for each in self.lots)


def issue_proposals(session: orm.Session, receipt_id: int) -> Proposals:
    """Return which lots should get a receipt's pieces; six statements.

    The lots it was bought for come first, then those of the same revision by rank, as far as each still waits.

    Raises:
        ReceiptNotFoundError: there is no such receipt.
    """
    receipt = material_queries.get_receipt(session, receipt_id)
    needs = [] if receipt.revision_id is None else _needs(session, receipt.revision_id)
    bought_for = meant_pieces(session, [need.lot.id for need in needs]).get(receipt.line_id or 0, {})
    cover(needs, [Supply(receipt.line, receipt.at_hand, 0, bought_for)])
    in_order = sorted(needs, key=lambda need: (not bought_for.get(need.lot.id), *lot_rank(need.lot)))
    lots = [Proposal(each.lot, each.wanted, bought_for.get(each.lot.id, 0), each.at_hand) for each in in_order]
    return Proposals(receipt, lots)


def _needs(session: orm.Session, revision_id: int) -> list[Need]:
    """Return every open lot of a revision that blanks can be issued to, also where no operation orders them."""
    lots = session.scalars(
        sa.select(Lot)
        .where(Lot.revision_id == revision_id, Lot.closed_at.is_(None))
        .options(
            orm.joinedload(Lot.revision).joinedload(Revision.part),
            orm.selectinload(Lot.operations).joinedload(LotOperation.kind),
        )
    ).all()
    held = material_queries.issued_to_lots(session, [lot.id for lot in lots])
    needs = [Need(lot, still_wanted(lot, sum(each.pieces for each in held[lot.id]))) for lot in lots]
    return sorted((need for need in needs if need.wanted), key=lambda need: lot_rank(need.lot))


def receipts_to_issue(session: orm.Session, wanted: Iterable[Wanted]) -> Sequence[Receipt]:
    """Return the receipts at hand of blanks that lots wait for, first received first; one statement.

    Components are not issued in the office: they are scanned at the operation that takes them.
    """
    lying = [each.article.key.revision_id for each in wanted if any(need.at_hand for need in each.needs)]
    return session.scalars(
        sa.select(Receipt)
        .where(Receipt.revision_id.in_(lying), Receipt.issued < Receipt.pieces)
        .order_by(Receipt.received_on, Receipt.number)
        .options(
            orm.joinedload(Receipt.revision).joinedload(Revision.part),
            orm.joinedload(Receipt.line).joinedload(MaterialOrderLine.order).joinedload(MaterialOrder.vendor),
        )
    ).all()
