"""What can be wrong with customers and orders, in sentences fit for a person."""

from collections.abc import Sequence
from datetime import date

from app.shared.errors import NotFoundError, PlainError
from app.shared.words import day, gettext


class CustomerNotFoundError(NotFoundError):
    """No such customer."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such customer. Choose one from the list of customers."))


class OrderNotFoundError(NotFoundError):
    """No such order, line or delivery."""

    def __init__(self) -> None:
        super().__init__(
            gettext("There is no such order. It may have been removed; look for it in the list of orders.")
        )


class CustomerNameTakenError(PlainError):
    """Another customer has this name."""

    def __init__(self, name: str) -> None:
        super().__init__(gettext("There is already a customer called %(name)s. Choose another name.", name=name))


class UnknownCustomerError(PlainError):
    """The typed name is no customer's, and nobody said that it is a new one."""

    def __init__(self, name: str, similar: Sequence[str]) -> None:
        self.similar = tuple(similar)
        asked = gettext("There is no customer called %(name)s yet.", name=name)
        if similar:
            asked += " " + gettext("Did you mean %(names)s?", names=gettext(" or ").join(similar))
        super().__init__(asked + " " + gettext("Correct the name, or tick 'New customer' to add it."))


class InactiveCustomerError(PlainError):
    """The customer is kept for its history only."""

    def __init__(self, name: str) -> None:
        super().__init__(
            gettext("%(name)s is marked as a former customer. Make it active again under Customers first.", name=name)
        )


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


class MissingCustomerError(PlainError):
    """Nobody said whose order it is."""

    def __init__(self) -> None:
        super().__init__(gettext("Choose the customer, or type the name of a new one."))


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


class BelowShippedError(PlainError):
    """A quantity below what has left already."""

    def __init__(self, shipped: int) -> None:
        super().__init__(
            gettext("%(shipped)s pieces have been shipped already: enter that many or more.", shipped=f"{shipped:,}")
        )


class ReceivedAfterDueError(PlainError):
    """The received date would fall after a delivery's due date."""

    def __init__(self, due: date) -> None:
        super().__init__(
            gettext("A delivery of this order is due %(day)s: it cannot have been received later.", day=day(due))
        )


class DeliveryClosedError(PlainError):
    """A delivery that was closed short is not changed."""

    def __init__(self, shipped: int, quantity: int) -> None:
        super().__init__(
            gettext(
                "This delivery was closed with %(shipped)s of %(quantity)s shipped. Open it again before changing it.",
                shipped=f"{shipped:,}",
                quantity=f"{quantity:,}",
            )
        )


class DeliveryFilledError(PlainError):
    """A filled delivery cannot be opened again as it is."""

    def __init__(self, shipped: int) -> None:
        super().__init__(
            gettext(
                "All of it was shipped (%(shipped)s pieces). Raise its quantity to send more.", shipped=f"{shipped:,}"
            )
        )


class DeliveryInUseError(PlainError):
    """A delivery that lots serve, or of which pieces have left, stays on record."""

    def __init__(self) -> None:
        super().__init__(
            gettext(
                "A lot serves this delivery, or pieces of it have been shipped: it stays on record. Close it instead."
            )
        )


class LastRowError(PlainError):
    """The last delivery of a line, or the last line of an order, is not removed alone."""

    def __init__(self) -> None:
        super().__init__(
            gettext(
                "It is the last one: an order keeps at least one line and each line one delivery. Change it instead."
            )
        )


class ShippedCountError(PlainError):
    """More would be taken back than was shipped."""

    def __init__(self, shipped: int) -> None:
        super().__init__(gettext("Only %(shipped)s pieces of this delivery were shipped.", shipped=f"{shipped:,}"))


class AgreedOtherwiseError(PlainError):
    """The form was sent before with other content."""

    def __init__(self, kept: str) -> None:
        super().__init__(
            gettext("This form was recorded before (%(kept)s) with other content. Open the page again.", kept=kept)
        )


class NothingChangedError(PlainError):
    """Nothing of a delivery would change."""

    def __init__(self) -> None:
        super().__init__(gettext("That is what is agreed already. Change the quantity, the date or the revision."))


class NothingLeftError(PlainError):
    """A delivery that is closed cannot be cancelled."""

    def __init__(self) -> None:
        super().__init__(gettext("This delivery is closed already: nothing of it is left to cancel."))


class CancelReasonError(PlainError):
    """A cancellation without its reason."""

    def __init__(self) -> None:
        super().__init__(gettext("Say why it is cancelled; it stays on record."))


class OtherPartError(PlainError):
    """The revision is one of another part."""

    def __init__(self, part: str) -> None:
        super().__init__(gettext("Choose a revision of %(part)s.", part=part))


class LeftAsRevisionError(PlainError):
    """Pieces of a delivery have left: it stays of the revision that they are of."""

    def __init__(self, shipped: int, label: str) -> None:
        super().__init__(
            gettext(
                "%(shipped)s pieces of it have left as revision %(label)s. Agree on that many for this delivery, "
                "and add a line of the new revision for the others.",
                shipped=f"{shipped:,}",
                label=label,
            )
        )


class CalledOffError(PlainError):
    """A call-off of a standing order stays of its line's revision."""

    def __init__(self, number: int) -> None:
        super().__init__(
            gettext(
                "It is called off against the standing order of line %(number)s. Lower that total, cancel this "
                "call-off, and add a line of the new revision.",
                number=number,
            )
        )


class BeyondStandingError(PlainError):
    """More would be called off than the standing order has."""

    def __init__(self, remaining: int, total: int) -> None:
        super().__init__(
            gettext(
                "Only %(remaining)s of the standing order's %(total)s are not called off yet. Enter fewer, "
                "or confirm that the customer agreed to a higher total.",
                remaining=f"{max(remaining, 0):,}",
                total=f"{total:,}",
            )
        )


class BelowCalledOffError(PlainError):
    """A standing order's total below what was called off."""

    def __init__(self, called_off: int) -> None:
        super().__init__(
            gettext(
                "%(pieces)s pieces are called off already: enter that many or more, or leave it empty where it is "
                "no standing order.",
                pieces=f"{called_off:,}",
            )
        )
