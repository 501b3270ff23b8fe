"""What can be wrong with vendors, purchases, receipts and issues, in sentences fit for a person."""

from collections.abc import Sequence
from datetime import date

from app.shared.errors import NotFoundError, PlainError
from app.shared.words import day, gettext, ngettext


class VendorNotFoundError(NotFoundError):
    """No such vendor."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such vendor. Choose one from the list of vendors."))


class MaterialOrderNotFoundError(NotFoundError):
    """No such material order or line."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such material order. Look for it in the list of material orders."))


class ReceiptNotFoundError(NotFoundError):
    """No such receipt."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such receipt. Look for it among the material at hand."))


class VendorNameTakenError(PlainError):
    """Another vendor has this name."""

    def __init__(self, name: str) -> None:
        super().__init__(gettext("There is already a vendor called %(name)s. Choose another name.", name=name))


class InactiveVendorError(PlainError):
    """The vendor is kept for its history only."""

    def __init__(self, name: str) -> None:
        super().__init__(
            gettext("%(name)s is marked as a former vendor. Make it active again under Vendors first.", name=name)
        )


class NoLinesError(PlainError):
    """A purchase of nothing."""

    def __init__(self) -> None:
        super().__init__(gettext("A material order needs at least one line."))


class BlankOrComponentError(PlainError):
    """A line or receipt must be for blanks of a revision or for a bought component, not both."""

    def __init__(self) -> None:
        super().__init__(gettext("Say what it is: blanks of one revision of a part, or one bought component."))


class QuantityError(PlainError):
    """A quantity out of range."""

    def __init__(self, least: int, most: int) -> None:
        super().__init__(gettext("Enter a quantity from %(least)s to %(most)s.", least=f"{least:,}", most=f"{most:,}"))


class PriceError(PlainError):
    """A price out of range."""

    def __init__(self, most: int) -> None:
        super().__init__(gettext("Enter a price from 0 to %(most)s.", most=f"{most:,}"))


class OrderedInFutureError(PlainError):
    """A purchase cannot have been made after today."""

    def __init__(self, today: date) -> None:
        super().__init__(gettext("It cannot have been ordered after today, %(day)s.", day=day(today)))


class ExpectedBeforeOrderedError(PlainError):
    """A line is expected before it was ordered."""

    def __init__(self, ordered_on: date) -> None:
        super().__init__(
            gettext("It cannot be expected before it was ordered, %(day)s. Correct the date.", day=day(ordered_on))
        )


class LineClosedError(PlainError):
    """A closed line has no expected date."""

    def __init__(self) -> None:
        super().__init__(gettext("Nothing more is expected on this line. Open it again first."))


class MoveReasonError(PlainError):
    """An expected day is not moved without a reason."""

    def __init__(self) -> None:
        super().__init__(gettext("Say why it was moved, and who said so; it stays on record."))


class SameDayError(PlainError):
    """A move to the day it is expected on anyway."""

    def __init__(self, expected_on: date) -> None:
        super().__init__(gettext("It is expected on %(day)s already. Enter the new day.", day=day(expected_on)))


class LineCompleteError(PlainError):
    """A line of which all has come in cannot be opened again."""

    def __init__(self) -> None:
        super().__init__(gettext("All of it has come in. Order more to expect more."))


class ReceivedInFutureError(PlainError):
    """Nothing can have come in after today."""

    def __init__(self, today: date) -> None:
        super().__init__(gettext("It cannot have come in after today, %(day)s.", day=day(today)))


class ReceivedBeforeOrderedError(PlainError):
    """Nothing of an order can have come in before it was ordered."""

    def __init__(self, ordered_on: date) -> None:
        super().__init__(gettext("It cannot have come in before it was ordered, %(day)s.", day=day(ordered_on)))


class NothingReceivedError(PlainError):
    """A receipt of no pieces."""

    def __init__(self) -> None:
        super().__init__(gettext("Enter how many pieces came in: good ones here, rejected ones below."))


class RejectReasonError(PlainError):
    """Rejected pieces without a reason."""

    def __init__(self) -> None:
        super().__init__(gettext("Say what is wrong with the rejected pieces."))


class TooLongError(PlainError):
    """A text is longer than its place."""

    def __init__(self, most: int) -> None:
        super().__init__(gettext("Use at most %(most)s characters.", most=most))


class BelowIssuedError(PlainError):
    """A receipt would hold fewer pieces than were issued from it."""

    def __init__(self, issued: int) -> None:
        super().__init__(
            ngettext(
                "%(num)d piece has been issued from it already: enter that many or more, or take it back first.",
                "%(num)d pieces have been issued from it already: enter that many or more, or take some back first.",
                issued,
            )
        )


class CorrectionReasonError(PlainError):
    """A receipt is not changed without a reason."""

    def __init__(self) -> None:
        super().__init__(gettext("Say why it is corrected; it stays on record."))


class NothingCorrectedError(PlainError):
    """A correction that changes nothing."""

    def __init__(self) -> None:
        super().__init__(gettext("This is what the receipt says already. Change a number or the heat."))


class NotAtHandError(PlainError):
    """More pieces would be issued than a receipt has at hand."""

    def __init__(self, code: str, at_hand: int) -> None:
        super().__init__(
            ngettext(
                "Receipt %(code)s has %(num)d piece at hand. Issue that many or fewer.",
                "Receipt %(code)s has %(num)d pieces at hand. Issue that many or fewer.",
                at_hand,
                code=code,
            )
            if at_hand
            else gettext("Receipt %(code)s has nothing at hand any more. Choose another one.", code=code)
        )


class IssueQuantityError(PlainError):
    """An issue of less than one piece."""

    def __init__(self) -> None:
        super().__init__(gettext("Enter how many pieces: 1 or more."))


class NotIssuedError(PlainError):
    """More pieces would be taken back from a lot than were issued to it."""

    def __init__(self, code: str, issued: int) -> None:
        super().__init__(
            ngettext(
                "%(num)d piece of receipt %(code)s was issued to this lot. Take back that many or fewer.",
                "%(num)d pieces of receipt %(code)s were issued to this lot. Take back that many or fewer.",
                issued,
                code=code,
            )
        )


class UnknownPartError(PlainError):
    """No part has the typed number."""

    def __init__(self, number: str) -> None:
        super().__init__(
            gettext(
                "There is no part %(number)s. Correct the number, or describe the part under Parts first.",
                number=number,
            )
        )


class NoSuchRevisionError(PlainError):
    """The part has no such revision, or none that is current."""

    def __init__(self, number: str, labels: Sequence[str]) -> None:
        super().__init__(
            gettext("Choose a revision of %(number)s: %(has)s.", number=number, has=", ".join(labels))
            if labels
            else gettext("%(number)s has no revision yet. Add one under Parts first.", number=number)
        )
