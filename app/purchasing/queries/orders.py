"""What the page that orders material is filled with, and what its rows are called."""

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot
from app.material.models import MaterialOrderLine
from app.material.queries import working_days_from
from app.purchasing.queries.articles import Article, Key, articles
from app.purchasing.queries.cover import Need
from app.purchasing.queries.needs import last_purchases, wanted_articles


@dataclass(frozen=True, slots=True)
class ProposedLine:
    """One article: for which lots, how many units, at what price and expected when."""

    article: Article
    needs: list[Need]
    unit_price: Decimal
    expected_on: date

    @property
    def units(self) -> int:
        """Return how many of the vendor's units the lots need."""
        return -(-sum(need.to_order for need in self.needs) // self.article.pieces_per_unit)


@dataclass(frozen=True, slots=True)
class ProposedOrder:
    """A purchase from the vendor that these articles were mostly bought from last."""

    vendor: str
    ordered_on: date
    lines: list[ProposedLine]


def proposed_order(session: orm.Session, keys: Sequence[Key], today: date) -> ProposedOrder:
    """Return what a purchase of some articles would be; fourteen statements."""
    chosen = articles(session, keys)
    short = {
        each.article.key: [need for need in each.needs if need.to_order] for each in wanted_articles(session, chosen)
    }
    last = last_purchases(session, chosen)
    ready_on = {key: today + timedelta(days=lead_days(article, short.get(key, ()))) for key, article in chosen.items()}
    working = working_days_from(session, ready_on.values())
    lines = [
        ProposedLine(
            article=article,
            needs=short.get(key, []),
            unit_price=last[key].unit_price if key in last else article.price,
            expected_on=working[ready_on[key]],
        )
        for key, article in chosen.items()
    ]
    return ProposedOrder(_usual_vendor(last.values()), today, lines)


def lead_days(article: Article, needs: Collection[Need]) -> int:
    """Return the longest lead time that a lot reckons with, else the article's own.

    A component of which none is known is expected tomorrow.
    """
    longest = max((need.lead_days for need in needs), default=article.lead_days)
    return longest or (1 if article.component else 0)


def _usual_vendor(last: Collection[MaterialOrderLine]) -> str:
    names = Counter(line.order.vendor.name for line in last if line.order.vendor.active)
    return names.most_common(1)[0][0] if names else ""


@dataclass(frozen=True, slots=True)
class Named:
    """The articles and lots that a form's rows are about, and what each lot waits for of each article."""

    articles: dict[Key, Article]
    lots: dict[int, Lot]
    needs: dict[tuple[Key, int], Need]


def named_rows(session: orm.Session, keys: Collection[Key], lot_ids: Collection[int]) -> Named:
    """Read what a form's rows are about; thirteen statements."""
    lots = session.scalars(sa.select(Lot).where(Lot.id.in_(lot_ids)))
    return Named(
        articles=articles(session, keys),
        lots={lot.id: lot for lot in lots},
        needs={(each.article.key, need.lot.id): need for each in wanted_articles(session, keys) for need in each.needs},
    )
