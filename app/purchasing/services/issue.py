"""Issuing a receipt's pieces to several lots at once: that many pieces of each may begin."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Posting
from app.lots.queries import lot_name
from app.lots.services import Act, issue_blanks
from app.lots.services.books import lock_lots
from app.purchasing.errors import MoreThanAtHandError, NothingIssuedError, NotWantedError
from app.purchasing.queries import Proposals, issue_proposals
from app.purchasing.services.inputs import Share
from app.shared.database import transaction
from app.shared.errors import Problem, refuse


def issue_receipt(session: orm.Session, act: Act, receipt_id: int, shares: Sequence[Share]) -> list[Posting]:
    """Issue pieces of one receipt to lots in one transaction; the same form sent twice issues once.

    Raises:
        ReceiptNotFoundError, LotNotFoundError: there is no such receipt or lot.
        KeyReusedError: the form was recorded before with other content.
        RefusedError: something is wrong; its problems say what and where.
    """
    wanted = sorted((share for share in shares if share.pieces), key=lambda share: share.lot_id)
    keys = [f"{act.key}/lot {share.lot_id}" for share in wanted]
    with transaction(session):
        lock_lots(session, (share.lot_id for share in wanted))  # all of them before the receipt, as every issue does
        if not _recorded_before(session, keys):
            refuse(_problems(issue_proposals(session, receipt_id), shares))
        return [
            issue_blanks(session, replace(act, key=key), share.lot_id, receipt_id, share.pieces)
            for key, share in zip(keys, wanted, strict=True)
        ]


def _recorded_before(session: orm.Session, keys: list[str]) -> bool:
    return session.scalars(sa.select(Posting.id).where(Posting.client_key.in_(keys)).limit(1)).first() is not None


def _problems(proposals: Proposals, shares: Sequence[Share]) -> Iterator[Problem]:
    asked = sum(share.pieces for share in shares)
    if not asked:
        yield Problem("shares", NothingIssuedError())
    if asked > proposals.receipt.at_hand:
        yield Problem("shares", MoreThanAtHandError(asked, proposals.receipt.at_hand))
    waiting = {each.lot.id: each for each in proposals.lots}
    for number, share in enumerate(shares):
        lot = waiting.get(share.lot_id)
        if lot is not None and share.pieces > lot.wanted:
            yield Problem(f"shares-{number}-pieces", NotWantedError(lot_name(lot.lot), lot.wanted))
