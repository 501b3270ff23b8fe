"""Preview and store a table of orders."""

from datetime import datetime

from sqlalchemy import orm

from app.orders.services.imports.plan import OrdersPreview, plan_of
from app.orders.services.orders import keep_order
from app.people.models import Person
from app.shared.database import transaction
from app.shared.progress import Progress, silent
from app.shared.sheets import ImportRefusedError, Sheet


def preview_orders(session: orm.Session, table: Sheet, now: datetime) -> OrdersPreview:
    """Say what ``import_orders`` would do, and name every bad cell. Nothing is stored."""
    return plan_of(session, table, now).preview


def import_orders(
    session: orm.Session, table: Sheet, by: Person | None, now: datetime, tell: Progress = silent
) -> OrdersPreview:
    """Take all orders of a table, or none of them.

    Customers that are not known yet are added. ``tell`` is told how many orders are kept.

    Raises:
        ImportRefusedError: cells are wrong; it names each.
    """
    with transaction(session):
        plan = plan_of(session, table, now)
        if plan.preview.problems or plan.known is None:
            raise ImportRefusedError(list(plan.preview.problems))
        for done, order in enumerate(plan.orders):
            tell(done, len(plan.orders))
            keep_order(session, order, plan.known, by, now)
    return plan.preview
