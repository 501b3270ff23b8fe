"""What can be wrong with a shipment, in sentences fit for a person."""

from datetime import date

from app.shared.errors import NotFoundError, PlainError
from app.shared.words import day, gettext, ngettext


class ShipmentNotFoundError(NotFoundError):
    """No such shipment."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such shipment. Look for it in the list of shipments."))


class NothingToShipError(PlainError):
    """A shipment without a piece."""

    def __init__(self) -> None:
        super().__init__(gettext("Enter how many pieces leave of at least one lot."))


class RowGoneError(NotFoundError):
    """A lot or delivery named by the form does not exist."""

    def __init__(self) -> None:
        super().__init__(gettext("A lot or delivery of this form is gone. Open the page again."))


class OtherCustomerError(PlainError):
    """A delivery of another customer."""

    def __init__(self, order: str, customer: str) -> None:
        super().__init__(
            gettext(
                "Order %(order)s is from %(customer)s. Ship it on a slip of its own.", order=order, customer=customer
            )
        )


class OtherRevisionError(PlainError):
    """The lot is of another part or revision than the delivery asks for."""

    def __init__(self, lot: str, made: str, wanted: str) -> None:
        super().__init__(
            gettext(
                "Lot %(lot)s is %(made)s and the delivery asks for %(wanted)s. Choose a lot of that revision.",
                lot=lot,
                made=made,
                wanted=wanted,
            )
        )


class DeliveryNotOpenError(PlainError):
    """The delivery was filled or closed before."""

    def __init__(self, order: str) -> None:
        super().__init__(
            gettext("This delivery of order %(order)s is closed. Leave it empty, or open it again first.", order=order)
        )


class ChosenTwiceError(PlainError):
    """The same lot twice for the same delivery."""

    def __init__(self) -> None:
        super().__init__(gettext("This lot is there twice for this delivery. Enter all its pieces in one row."))


class OverError(PlainError):
    """More would leave than the delivery asks for, and nobody said that the customer wants it."""

    def __init__(self, order: str, over: int, quantity: int) -> None:
        super().__init__(
            ngettext(
                "%(num)d over the %(quantity)s that order %(order)s asks for: ask the customer first.",
                "%(num)d over the %(quantity)s that order %(order)s asks for: ask the customer first.",
                over,
                quantity=f"{quantity:,}",
                order=order,
            )
        )


class ShippedInFutureError(PlainError):
    """Nothing can have left after today."""

    def __init__(self, today: date) -> None:
        super().__init__(gettext("It cannot have left after today, %(day)s.", day=day(today)))


class ShippedBeforeOrderedError(PlainError):
    """Nothing can have left before it was ordered."""

    def __init__(self, order: str, received_on: date) -> None:
        super().__init__(
            gettext(
                "It cannot have left before order %(order)s came in, %(day)s. Correct the date.",
                order=order,
                day=day(received_on),
            )
        )


class TakeBackReasonError(PlainError):
    """A shipment is not taken back without a reason."""

    def __init__(self) -> None:
        super().__init__(gettext("Say why it is taken back; it stays on record."))


class DayOverError(PlainError):
    """A shipment is taken back on the day it was recorded only."""

    def __init__(self, number: int, recorded_on: date) -> None:
        super().__init__(
            gettext(
                "Shipment %(number)s was recorded on %(day)s and can be taken back on that day only.",
                number=number,
                day=day(recorded_on),
            )
        )


class TakenBackError(PlainError):
    """A shipment that was taken back has no slip."""

    def __init__(self, number: int) -> None:
        super().__init__(
            gettext("Shipment %(number)s was taken back: nothing left, so there is no slip to print.", number=number)
        )


class ReturnNotFoundError(NotFoundError):
    """No such return."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such return. Look for it in the list of returns."))


class MoreThanLeftError(PlainError):
    """More would come back than left, less what came back before."""

    def __init__(self, shipped: int, left: int) -> None:
        super().__init__(
            gettext(
                "%(shipped)s left with this shipment and %(left)s of them have not come back yet: enter that many or "
                "fewer.",
                shipped=f"{shipped:,}",
                left=f"{max(0, left):,}",
            )
        )


class CameInFutureError(PlainError):
    """Nothing can have come back after today."""

    def __init__(self, today: date) -> None:
        super().__init__(gettext("It cannot have come back after today, %(day)s.", day=day(today)))


class CameBeforeLeftError(PlainError):
    """Nothing can have come back before it left."""

    def __init__(self, shipped_on: date) -> None:
        super().__init__(gettext("It cannot have come back before it left, %(day)s.", day=day(shipped_on)))


class NothingLeftToInspectError(PlainError):
    """Nothing is to be done with what came back."""

    def __init__(self) -> None:
        super().__init__(gettext("Choose an inspection above, or at least one operation that is done again."))


class MoreThanCameBackError(PlainError):
    """More would be sent again or credited than came back."""

    def __init__(self, undecided: int) -> None:
        super().__init__(
            gettext("%(pieces)s are not sent again or credited yet: enter that many or fewer.", pieces=f"{undecided:,}")
        )


class DueMissingError(PlainError):
    """Pieces are sent again on a day that was agreed."""

    def __init__(self) -> None:
        super().__init__(gettext("Enter the day that was agreed for sending them again."))
