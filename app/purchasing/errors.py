"""What can be wrong with ordering and issuing material, in sentences fit for a person."""

from collections.abc import Sequence

from app.shared.errors import PlainError
from app.shared.words import gettext, ngettext


class UnknownVendorError(PlainError):
    """The typed name is no vendor's, and nobody said that it is a new one."""

    def __init__(self, name: str, similar: Sequence[str]) -> None:
        self.similar = tuple(similar)
        asked = gettext("There is no vendor called %(name)s yet.", name=name)
        if similar:
            asked += " " + gettext("Did you mean %(names)s?", names=gettext(" or ").join(similar))
        super().__init__(asked + " " + gettext("Correct the name, or tick 'New vendor' to add it."))


class TooFewUnitsError(PlainError):
    """The vendor's units hold fewer pieces than the lots are to get."""

    def __init__(self, made: int, meant: int, units: int) -> None:
        super().__init__(
            gettext(
                "That makes %(made)s pieces and lots are to get %(meant)s. Order %(units)s, or enter fewer for a lot.",
                made=f"{made:,}",
                meant=f"{meant:,}",
                units=f"{units:,}",
            )
        )


class NotTheirBlankError(PlainError):
    """A lot of another revision than the line is for."""

    def __init__(self, lot: str) -> None:
        super().__init__(gettext("Lot %(lot)s is made from another blank. Open the page again.", lot=lot))


class NotWantedError(PlainError):
    """More pieces would be ordered or issued for a lot than it waits for."""

    def __init__(self, lot: str, wanted: int, covered: int = 0) -> None:
        waits = ngettext(
            "Lot %(lot)s waits for %(num)d piece.", "Lot %(lot)s waits for %(num)d pieces.", wanted, lot=lot
        )
        if covered:
            waits += " " + ngettext(
                "%(num)d of them is at hand or on order already.",
                "%(num)d of them are at hand or on order already.",
                covered,
            )
        most = wanted - covered
        how = gettext("Enter %(most)s or fewer.", most=f"{most:,}") if most else gettext("Leave it empty.")
        super().__init__(f"{waits} {how}")


class NothingIssuedError(PlainError):
    """No lot would get a piece."""

    def __init__(self) -> None:
        super().__init__(gettext("Enter how many pieces go to at least one lot."))


class MoreThanAtHandError(PlainError):
    """All lots together would get more than the receipt has at hand."""

    def __init__(self, asked: int, at_hand: int) -> None:
        super().__init__(
            gettext(
                "That is %(asked)s pieces together and %(at_hand)s are at hand. Enter fewer.",
                asked=f"{asked:,}",
                at_hand=f"{at_hand:,}",
            )
        )
