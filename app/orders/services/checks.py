"""What can be wrong with an order before it is kept; nothing here reads or writes the database."""

from collections.abc import Iterator, Sequence
from datetime import date

from app.orders.errors import (
    DueBeforeReceivedError,
    FarDueError,
    InactiveCustomerError,
    InactivePartError,
    MissingCustomerError,
    MissingNumberError,
    MissingPartError,
    NoCurrentRevisionError,
    NoDeliveriesError,
    NoLinesError,
    NoSuchRevisionError,
    OrderNumberTakenError,
    PriceError,
    QuantityError,
    ReceivedInFutureError,
    TooLongError,
    TooManyRowsError,
    UnknownCustomerError,
    UnknownPartError,
)
from app.orders.models import CustomerOrder
from app.orders.queries import PartChoice
from app.orders.services.inputs import (
    HIGHEST_PRICE,
    LONGEST_NUMBER,
    MOST_DELIVERIES,
    MOST_LINES,
    MOST_PIECES,
    NewDelivery,
    NewLine,
    NewOrder,
)
from app.orders.services.known import Known
from app.shared.errors import Problem

FAR_YEARS = 5
LONGEST_NAME = 80


def order_problems(order: NewOrder, known: Known) -> Iterator[Problem]:
    """Give everything that is wrong with an order."""
    yield from _customer_problems(order, known)
    customer = known.customer(order.customer)
    same = known.orders.get((customer.id, order.their_number.casefold())) if customer else None
    yield from number_problems(order.their_number, same, customer.name if customer else order.customer)
    if order.received_on > known.today:
        yield Problem("received_on", ReceivedInFutureError(known.today))
    if not order.lines:
        yield Problem("lines", NoLinesError())
    if len(order.lines) > MOST_LINES:
        yield Problem("lines", TooManyRowsError(MOST_LINES))
    for at, line in enumerate(order.lines):
        for problem in line_problems(line, order.received_on, known, far_dates_meant=order.far_dates_meant):
            yield Problem(f"lines-{at}-{problem.place}", problem.error)


def _customer_problems(order: NewOrder, known: Known) -> Iterator[Problem]:
    customer = known.customer(order.customer)
    if not order.customer:
        yield Problem("customer", MissingCustomerError())
    elif len(order.customer) > LONGEST_NAME:
        yield Problem("customer", TooLongError(LONGEST_NAME))
    elif customer is None and not order.new_customer:
        yield Problem("customer", UnknownCustomerError(order.customer, known.similar_customers(order.customer)))
    elif customer is not None and not customer.active:
        yield Problem("customer", InactiveCustomerError(customer.name))


def number_problems(number: str, same: CustomerOrder | None, customer: str) -> Iterator[Problem]:
    """Give what is wrong with an order number; ``same`` is another order of the customer that has it."""
    if not number:
        yield Problem("their_number", MissingNumberError())
    elif len(number) > LONGEST_NUMBER:
        yield Problem("their_number", TooLongError(LONGEST_NUMBER))
    elif same is not None:
        taken = OrderNumberTakenError(customer, same.their_number, same.id, same.received_on)
        yield Problem("their_number", taken)


def line_problems(line: NewLine, received_on: date, known: Known, *, far_dates_meant: bool) -> Iterator[Problem]:
    """Give what is wrong with a line; places are counted from the line."""
    yield from _part_problems(line, known)
    if not 0 <= line.price <= HIGHEST_PRICE:
        yield Problem("price", PriceError(HIGHEST_PRICE))
    if not line.deliveries:
        yield Problem("deliveries", NoDeliveriesError())
    if len(line.deliveries) > MOST_DELIVERIES:
        yield Problem("deliveries", TooManyRowsError(MOST_DELIVERIES))
    latest = None if far_dates_meant else years_after(known.today, FAR_YEARS)
    for at, delivery in enumerate(line.deliveries):
        for problem in delivery_problems(delivery, received_on, latest):
            yield Problem(f"deliveries-{at}-{problem.place}", problem.error)


def _part_problems(line: NewLine, known: Known) -> Iterator[Problem]:
    part = known.parts.find(line.part)
    if not line.part:
        yield Problem("part", MissingPartError())
    elif part is None:
        yield Problem("part", UnknownPartError(line.part, known.similar_parts.get(line.part, ())))
    elif not part.active:
        yield Problem("part", InactivePartError(part.number))
    elif part.revision(line.revision) is None:
        yield _revision_problem(part, line.revision)


def _revision_problem(part: PartChoice, label: str) -> Problem:
    labels: Sequence[str] = part.labels
    if label or not labels:
        return Problem("revision", NoSuchRevisionError(part.number, label, labels))
    return Problem("revision", NoCurrentRevisionError(part.number, labels))


def delivery_problems(delivery: NewDelivery, received_on: date, latest: date | None) -> Iterator[Problem]:
    """Give what is wrong with a delivery; a due date after ``latest`` is questioned."""
    if not 1 <= delivery.quantity <= MOST_PIECES:
        yield Problem("quantity", QuantityError(MOST_PIECES))
    if delivery.due < received_on:
        yield Problem("due", DueBeforeReceivedError(received_on))
    elif latest is not None and delivery.due > latest:
        yield Problem("due", FarDueError(delivery.due))


def years_after(day: date, years: int) -> date:
    """Return the same day so many years later; 28 February stands for a missing 29th."""
    try:
        return day.replace(year=day.year + years)
    except ValueError:
        return day.replace(year=day.year + years, day=28)
