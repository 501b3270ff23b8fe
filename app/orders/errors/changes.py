"""Changes of what was ordered that cannot be made."""

from datetime import date

from app.shared.errors import PlainError
from app.shared.words import day, gettext, ngettext


class BelowShippedError(PlainError):
    """A quantity below what has left already."""

    def __init__(self, shipped: int) -> None:
        super().__init__(
            ngettext(
                "%(shipped)s piece has been shipped already: enter that many or more.",
                "%(shipped)s pieces have been shipped already: enter that many or more.",
                shipped,
                shipped=f"{shipped:,}",
            )
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
        super().__init__(
            ngettext(
                "Only %(shipped)s piece of this delivery was shipped.",
                "Only %(shipped)s pieces of this delivery were shipped.",
                shipped,
                shipped=f"{shipped:,}",
            )
        )


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
