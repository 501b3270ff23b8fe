"""Lines, quantities and dates of an order that cannot be."""

from collections.abc import Sequence
from datetime import date

from app.shared.errors import PlainError
from app.shared.words import day, gettext


class OrderNumberTakenError(PlainError):
    """The customer has another order with this number."""

    def __init__(self, customer: str, number: str, order_id: int, received_on: date) -> None:
        self.order_id = order_id
        super().__init__(
            gettext(
                "%(customer)s already has an order %(number)s, received %(day)s. Change that order, "
                "or correct the number.",
                customer=customer,
                number=number,
                day=day(received_on),
            )
        )


class ReceivedInFutureError(PlainError):
    """An order cannot have been received after today."""

    def __init__(self, today: date) -> None:
        super().__init__(gettext("It cannot have been received after today, %(day)s.", day=day(today)))


class MissingNumberError(PlainError):
    """An order has no number."""

    def __init__(self) -> None:
        super().__init__(gettext("Enter the customer's order number."))


class TooLongError(PlainError):
    """A text is longer than its place."""

    def __init__(self, most: int) -> None:
        super().__init__(gettext("Use at most %(most)s characters.", most=most))


class NoLinesError(PlainError):
    """An order without lines."""

    def __init__(self) -> None:
        super().__init__(gettext("An order needs at least one line. Add one."))


class TooManyRowsError(PlainError):
    """More lines or deliveries than one form takes."""

    def __init__(self, most: int) -> None:
        super().__init__(gettext("Enter at most %(most)s here. Save these, then add the others.", most=most))


class UnknownPartError(PlainError):
    """No part has the typed number."""

    def __init__(self, number: str, similar: Sequence[str] = ()) -> None:
        self.similar = tuple(similar)
        asked = gettext("There is no part %(number)s.", number=number)
        if similar:
            asked += " " + gettext("Did you mean %(numbers)s?", numbers=gettext(" or ").join(similar))
        super().__init__(asked + " " + gettext("Correct the number, or describe the part under Parts first."))


class MissingPartError(PlainError):
    """A line without a part."""

    def __init__(self) -> None:
        super().__init__(gettext("Enter the number of the part."))


class InactivePartError(PlainError):
    """The part is no longer made."""

    def __init__(self, number: str) -> None:
        super().__init__(
            gettext("%(number)s is marked as no longer used. Make it active again under Parts first.", number=number)
        )


class NoSuchRevisionError(PlainError):
    """The part has no revision with this label."""

    def __init__(self, number: str, label: str, labels: Sequence[str]) -> None:
        has = ", ".join(labels)
        super().__init__(
            gettext("%(number)s has no revision %(label)s. It has: %(has)s.", number=number, label=label, has=has)
            if labels
            else gettext("%(number)s has no revision yet. Add one under Parts first.", number=number)
        )


class NoCurrentRevisionError(PlainError):
    """No revision of the part is the current one."""

    def __init__(self, number: str, labels: Sequence[str]) -> None:
        super().__init__(
            gettext("No revision of %(number)s is current. Choose one: %(has)s.", number=number, has=", ".join(labels))
        )


class QuantityError(PlainError):
    """A quantity out of range."""

    def __init__(self, most: int) -> None:
        super().__init__(gettext("Enter a quantity from 1 to %(most)s.", most=f"{most:,}"))


class PriceError(PlainError):
    """A price out of range."""

    def __init__(self, most: int) -> None:
        super().__init__(gettext("Enter the price of one piece, from 0 to %(most)s.", most=f"{most:,}"))


class NoDeliveriesError(PlainError):
    """A line without deliveries."""

    def __init__(self) -> None:
        super().__init__(gettext("A line needs at least one delivery: a quantity and a due date."))


class DueBeforeReceivedError(PlainError):
    """A delivery is due before its order came in."""

    def __init__(self, received_on: date) -> None:
        super().__init__(
            gettext(
                "It cannot be due before the order was received, %(day)s. Correct one of the two.", day=day(received_on)
            )
        )


class FarDueError(PlainError):
    """A date so far ahead that it is probably a slip."""

    def __init__(self, due: date) -> None:
        self.due = due
        super().__init__(
            gettext("%(day)s is more than five years ahead. Correct it, or confirm that it is meant.", day=day(due))
        )


class FarImportedError(PlainError):
    """A date in a table so far ahead that it is probably a slip."""

    def __init__(self, due: date) -> None:
        super().__init__(
            gettext(
                "%(day)s is more than five years ahead. Correct it, or take this order on the page for new orders.",
                day=day(due),
            )
        )
