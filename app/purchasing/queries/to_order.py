"""What must be ordered, for which lots and by when."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from sqlalchemy import orm

from app.purchasing.queries.articles import Article
from app.purchasing.queries.cover import Need
from app.purchasing.queries.needs import Wanted, wanted_articles
from app.schedule.models import LotForecast
from app.schedule.queries import lot_outlooks

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class ToOrder:
    """An article that must be ordered, for which lots, and by when.

    Attributes:
        article: the blanks of a revision, or a bought component.
        needs: the lots, first in rank first, each with pieces to order.
        needed_by: the day it must be here so that the first of the lots is not late; missing where no lot is due.
        order_by: the weekday by which it must be ordered for that.
    """

    article: Article
    needs: list[Need]
    needed_by: date | None
    order_by: date | None

    @property
    def pieces(self) -> int:
        """Return how many pieces must be ordered."""
        return sum(need.to_order for need in self.needs)

    @property
    def units(self) -> int:
        """Return how many of the vendor's pieces, plates or bars that takes."""
        return -(-self.pieces // self.article.pieces_per_unit)

    @property
    def what(self) -> str:
        """Return in a few words what it is."""
        return self.article.what


def material_to_order(session: orm.Session, today: date) -> list[ToOrder]:
    """Return what lots wait for and nobody has ordered, soonest to be ordered first; eleven statements."""
    return to_order(session, wanted_articles(session), today)


def to_order(session: orm.Session, wanted: Iterable[Wanted], today: date) -> list[ToOrder]:
    """Return what of some needs, covered already, must be ordered; one statement."""
    short = [(each.article, [need for need in each.needs if need.to_order]) for each in wanted]
    outlooks = lot_outlooks(session, {need.lot.id for _, needs in short for need in needs})
    found = [_to_order(article, needs, outlooks, today) for article, needs in short if needs]
    return sorted(found, key=lambda each: (each.order_by is None, each.order_by or today, each.what))


def _to_order(article: Article, needs: list[Need], outlooks: dict[int, LotForecast], today: date) -> ToOrder:
    days = [(_needed_by(need, outlooks.get(need.lot.id), today), need.lead_days) for need in needs]
    known = [(day, lead) for day, lead in days if day is not None]
    return ToOrder(
        article=article,
        needs=needs,
        needed_by=min((day for day, _lead in known), default=None),
        order_by=min((_weekday_until(day - timedelta(days=lead)) for day, lead in known), default=None),
    )


def _needed_by(need: Need, outlook: LotForecast | None, today: date) -> date | None:
    """Return the weekday by which what a lot waits for must be here.

    The forecast orders it today; where the lot then has slack, it may come that many days later, and where the lot is
    late, it should have come that many days sooner. Without a forecast the lot's due date has to do.
    """
    day = need.lot.due_on
    if outlook is not None and outlook.slack_seconds is not None:
        day = today + timedelta(days=need.lead_days) + (outlook.slack_seconds // 86_400) * ONE_DAY
    return None if day is None else _weekday_until(day)


def _weekday_until(day: date) -> date:
    """Return ``day``, or the Friday before it: nobody orders or delivers on a weekend (common practice, no source)."""
    return day - max(0, day.weekday() - 4) * ONE_DAY
