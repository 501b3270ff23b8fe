"""What an import would do, judged against what is stored."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import orm

from app.orders.errors import DueBeforeReceivedError, FarDueError, FarImportedError
from app.orders.queries import shop_today
from app.orders.services.checks import order_problems
from app.orders.services.imports.columns import COLUMNS, RECEIVED, REQUIRED
from app.orders.services.imports.drafts import DraftOrder, drafts_of
from app.orders.services.inputs import NewOrder
from app.orders.services.known import Known, look_up
from app.shared.sheets import CellProblem, Sheet, named_rows
from app.shared.words import gettext, ngettext


@dataclass(frozen=True, slots=True)
class PreviewOrder:
    """One order of the table."""

    row: int
    customer: str
    number: str
    received_on: date
    parts: tuple[str, ...]
    deliveries: int
    pieces: int


@dataclass(frozen=True, slots=True)
class OrdersPreview:
    """What an import would do, every cell that keeps it from being done, and what to look at before confirming.

    ``new_customers`` are names that are no customer's yet, with names that look like them; ``without_routing`` are
    parts with their revision that can be ordered but not released yet.
    """

    orders: tuple[PreviewOrder, ...]
    problems: tuple[CellProblem, ...]
    new_customers: tuple[tuple[str, tuple[str, ...]], ...]
    without_routing: tuple[str, ...]

    def __str__(self) -> str:
        deliveries = sum(order.deliveries for order in self.orders)
        return gettext(
            "%(orders)s with %(deliveries)s",
            orders=ngettext("%(num)d order", "%(num)d orders", len(self.orders)),
            deliveries=ngettext("%(num)d delivery", "%(num)d deliveries", deliveries),
        )


@dataclass(frozen=True, slots=True)
class Plan:
    """The orders of a table, what is known of what they name, and all that is wrong with them."""

    orders: tuple[NewOrder, ...]
    known: Known | None
    preview: OrdersPreview


def plan_of(session: orm.Session, sheet: Sheet, now: datetime) -> Plan:
    """Judge a table; the number of statements does not grow with it."""
    rows, wrong = named_rows(sheet, COLUMNS, REQUIRED)
    if not wrong and not rows:
        wrong = [CellProblem(2, "", gettext("There is no row below the headings."))]
    if wrong:
        return Plan((), None, OrdersPreview((), tuple(wrong), (), ()))
    drafts, unread = drafts_of(rows, shop_today(session, now))
    problems = [*sheet.problems, *unread]
    orders = tuple(draft.to_input() for draft in drafts)
    lines = [line for order in orders for line in order.lines]
    known = look_up(session, lines, (order.their_number for order in orders), now)
    for draft, order in zip(drafts, orders, strict=True):
        problems.extend(_problems(draft, order, known, {(each.row, each.column) for each in problems}))
    preview = OrdersPreview(
        orders=tuple(_shown(draft) for draft in drafts),
        problems=tuple(sorted(problems, key=lambda problem: problem.row)),
        new_customers=tuple(_new_customers(orders, known)),
        without_routing=tuple(sorted(set(_without_routing(orders, known)))),
    )
    return Plan(orders, known, preview)


def _problems(
    draft: DraftOrder, order: NewOrder, known: Known, wrong: Collection[tuple[int, str]]
) -> Iterator[CellProblem]:
    received_unread = (draft.row.number, RECEIVED) in wrong
    for problem in order_problems(order, known):
        row, column = draft.cell_of(problem.place)
        error = problem.error
        if received_unread and isinstance(error, DueBeforeReceivedError):
            continue  # nobody wrote the day that it would be held against
        if isinstance(error, FarDueError):
            error = FarImportedError(error.due)
        yield CellProblem(row, column, str(error))


def _shown(draft: DraftOrder) -> PreviewOrder:
    deliveries = [delivery for line in draft.lines for delivery in line.deliveries]
    return PreviewOrder(
        row=draft.row.number,
        customer=draft.customer,
        number=draft.number,
        received_on=draft.received_on,
        parts=tuple(f"{line.part} {line.revision}".strip() for line in draft.lines),
        deliveries=len(deliveries),
        pieces=sum(delivery.quantity for delivery in deliveries),
    )


def _new_customers(orders: tuple[NewOrder, ...], known: Known) -> Iterator[tuple[str, tuple[str, ...]]]:
    names = {order.customer.casefold(): order.customer for order in orders if order.customer}
    for name in names.values():
        if known.customer(name) is None:
            yield name, tuple(known.similar_customers(name))


def _without_routing(orders: tuple[NewOrder, ...], known: Known) -> Iterator[str]:
    for line in (line for order in orders for line in order.lines):
        part = known.parts.find(line.part)
        revision = part and part.revision(line.revision)
        if part and revision and not revision.has_routing:
            yield f"{part.number} {revision.label}"
