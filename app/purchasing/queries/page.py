"""Everything that the blanks page shows."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import orm

from app.material.models import MaterialOrderLine, Receipt
from app.purchasing.queries.blanks import ToOrder, blank_needs, last_purchases, to_order
from app.purchasing.queries.chase import OnOrder, lines_on_order
from app.purchasing.queries.cover import Need
from app.purchasing.queries.issues import receipts_to_issue


@dataclass(frozen=True, slots=True)
class BlanksPage:
    """What to order or ask customers for, what to issue, and what is on order.

    Attributes:
        to_order: blanks that vendors sell, soonest to be ordered first.
        to_ask_for: blanks that customers send.
        last: the last purchase of each revision's blanks.
        receipts: what has come in that lots wait for.
        waiting: by revision, the lots that can get what has come in.
        on_order: what is to come, soonest first.
    """

    to_order: list[ToOrder]
    to_ask_for: list[ToOrder]
    last: dict[int, MaterialOrderLine]
    receipts: Sequence[Receipt]
    waiting: dict[int, list[Need]]
    on_order: list[OnOrder]


def blanks_page(session: orm.Session, today: date) -> BlanksPage:
    """Read the blanks page; thirteen statements."""
    needs = blank_needs(session)
    wanted = to_order(session, needs, today)
    waiting: dict[int, list[Need]] = {}
    for need in needs:
        if need.at_hand:
            waiting.setdefault(need.lot.revision_id, []).append(need)
    return BlanksPage(
        to_order=[each for each in wanted if not each.from_customer],
        to_ask_for=[each for each in wanted if each.from_customer],
        last=last_purchases(session, [each.revision.id for each in wanted]),
        receipts=receipts_to_issue(session, needs),
        waiting=waiting,
        on_order=lines_on_order(session),
    )
