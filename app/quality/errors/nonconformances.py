"""What is refused about suspect pieces and what is decided about them."""

from typing import ClassVar

from app.shared.errors import NotFoundError, PlainError
from app.shared.words import gettext, ngettext


class NonconformanceNotFoundError(NotFoundError):
    """There is no such nonconformance."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such nonconformance. Choose one from the list."))


class DispositionError(PlainError):
    """Something about a disposition is refused; ``about`` names the field."""

    about: ClassVar[str] = "pieces"


class DecidedMeanwhileError(DispositionError):
    """Somebody else decided something since the form was shown."""

    def __init__(self, who: str, left: int) -> None:
        super().__init__(
            gettext(
                "%(who)s has decided about some of these pieces meanwhile: %(left)s are left. Look at it again.",
                who=who,
                left=left,
            )
        )


class NotSoManyHereError(DispositionError):
    """More pieces than are left to decide about."""

    def __init__(self, left: int) -> None:
        super().__init__(gettext("Nothing is decided yet about %(left)s of them: type 1 to %(left)s.", left=left))


class NoneLeftHereError(DispositionError):
    """All pieces of the lot have left the shop, or are scrap."""

    def __init__(self, lot: str) -> None:
        super().__init__(
            gettext(
                "No piece of lot %(lot)s is left here. Tell the customer what was shipped (Trace shows it); "
                "pieces that come back get a lot of their own.",
                lot=lot,
            )
        )


class NotThatManyLeftError(DispositionError):
    """More suspect pieces than are left in the shop."""

    def __init__(self, left: int) -> None:
        super().__init__(
            ngettext(
                "Only %(num)d piece of this lot is still here: type 1.",
                "%(num)d pieces of this lot are still here: type 1 to %(num)d.",
                left,
            )
        )


class FoundHowError(DispositionError):
    """Nothing says how it was found."""

    about = "how"

    def __init__(self) -> None:
        super().__init__(gettext("Say how it was found: it stays on record."))


class NotOutError(DispositionError):
    """The reading is good."""

    about = "typed"

    def __init__(self) -> None:
        super().__init__(gettext("This lies within its limits: nothing is to be decided."))


class AlreadySplitError(DispositionError):
    """They cannot be split off."""

    def __init__(self, why: str) -> None:
        super().__init__(why)


class AgreedByMissingError(DispositionError):
    """Use as is, and nobody at the customer agreed."""

    about = "agreed_by"

    def __init__(self) -> None:
        super().__init__(gettext("Type who at the customer agreed, and how."))


class CostMissingError(DispositionError):
    """Scrap without its cost."""

    about = "cost"

    def __init__(self) -> None:
        super().__init__(gettext("Type what the scrap costs; 0 where it costs nothing."))


class VendorMissingError(DispositionError):
    """Back to a vendor, and none is named."""

    about = "vendor_id"

    def __init__(self) -> None:
        super().__init__(gettext("Choose the vendor that the pieces go back to."))


class ReworkWhereError(DispositionError):
    """Rework, and no operation that the pieces could go back to."""

    about = "to_operation_id"

    def __init__(self) -> None:
        super().__init__(gettext("Choose the operation at which the pieces are reworked: one they have come to."))
