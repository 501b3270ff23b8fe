"""Lots that cannot be released, changed, parted, joined or meant for a delivery as asked."""

from app.lots.errors.ledger import LedgerError
from app.shared.words import gettext, ngettext


class LargestStartError(LedgerError):
    """More pieces would have to be started than anybody starts at once."""

    def __init__(self, largest: int) -> None:
        super().__init__(
            gettext(
                "More than %(largest)s pieces would have to be started: check the quantity and the yields.",
                largest=f"{largest:,}",
            )
        )


class SkippedError(LedgerError):
    """The lot was changed: it passes over this operation now."""

    def __init__(self, operation: str) -> None:
        super().__init__(
            gettext(
                "The lot was changed: %(operation)s is not to be done any more. "
                "Open the lot's page and print its traveler again.",
                operation=operation,
            )
        )


class ChangeError(LedgerError):
    """A change of a lot that cannot be made."""


class JoinError(LedgerError):
    """Two lots that cannot become one."""


class SplitError(LedgerError):
    """A split that would leave nothing on one side."""


class ReleaseError(LedgerError):
    """A lot that cannot be released as asked."""


class OtherRevisionError(LedgerError):
    """Pieces of another part or revision than the delivery asks for."""

    def __init__(self, lot: str) -> None:
        super().__init__(
            gettext("Lot %(lot)s is of another part or revision than the delivery asks for. Choose another.", lot=lot)
        )


class NotFreeError(LedgerError):
    """Fewer pieces of the lot are free than were asked for."""

    def __init__(self, lot: str, free: int) -> None:
        super().__init__(
            ngettext(
                "%(num)d piece of lot %(lot)s is free: the rest is meant for others.",
                "%(num)d pieces of lot %(lot)s are free: the rest is meant for others.",
                free,
                lot=lot,
            )
        )


class NotMeantError(LedgerError):
    """Nothing can be meant, or is meant, for this delivery."""

    def __init__(self, order: str) -> None:
        super().__init__(
            gettext("The delivery of order %(order)s takes no pieces of this lot. Open the order again.", order=order)
        )


class TooManyBackError(LedgerError):
    """More would come back than was shipped."""

    def __init__(self, lot: str, left: int) -> None:
        super().__init__(
            gettext("Only %(left)s shipped pieces of lot %(lot)s have not come back yet.", lot=lot, left=max(0, left))
        )


class NoStepsError(LedgerError):
    """Pieces that came back have nothing to go through."""

    def __init__(self) -> None:
        super().__init__(gettext("Choose an inspection, or at least one operation that is done again."))
