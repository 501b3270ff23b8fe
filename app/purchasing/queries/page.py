"""Everything that the page of what to order shows."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import orm

from app.material.models import MaterialOrderLine, Receipt
from app.purchasing.queries.articles import Key
from app.purchasing.queries.chase import OnOrder, lines_on_order
from app.purchasing.queries.cover import Need
from app.purchasing.queries.issues import receipts_to_issue
from app.purchasing.queries.needs import last_purchases, wanted_articles
from app.purchasing.queries.to_order import ToOrder, to_order


@dataclass(frozen=True, slots=True)
class BuyingPage:
    """What to order or ask customers for, what to issue, and what is on order.

    Attributes:
        to_order: what vendors sell, soonest to be ordered first.
        to_ask_for: what customers send.
        last: the last purchase of each article.
        receipts: blanks that have come in and lots wait for.
        waiting: by revision, the lots that can get what has come in.
        on_order: what is to come, soonest first.
    """

    to_order: list[ToOrder]
    to_ask_for: list[ToOrder]
    last: dict[Key, MaterialOrderLine]
    receipts: Sequence[Receipt]
    waiting: dict[int, list[Need]]
    on_order: list[OnOrder]


def buying_page(session: orm.Session, today: date) -> BuyingPage:
    """Read the page; eighteen statements."""
    wanted = wanted_articles(session)
    short = to_order(session, wanted, today)
    waiting = {each.article.key.revision_id or 0: [need for need in each.needs if need.at_hand] for each in wanted}
    return BuyingPage(
        to_order=[each for each in short if not each.article.from_customer],
        to_ask_for=[each for each in short if each.article.from_customer],
        last=last_purchases(session, [each.article.key for each in short]),
        receipts=receipts_to_issue(session, wanted),
        waiting=waiting,
        on_order=lines_on_order(session),
    )
