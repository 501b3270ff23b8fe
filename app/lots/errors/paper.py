"""Rows of paper that the books contradict."""

from app.lots.errors.ledger import LedgerError
from app.shared.words import gettext


class BegunAfterDoneError(LedgerError):
    """A row of paper whose work ends before it begins."""

    def __init__(self) -> None:
        super().__init__(gettext("This is before it was begun. Look at the times again."))


class RowsOutOfOrderError(LedgerError):
    """A row of paper that was done before an earlier row of the same operation."""

    def __init__(self, row: int) -> None:
        super().__init__(
            gettext(
                "This is before row %(row)s of the same operation. Enter the rows in the order they stand.", row=row
            )
        )


class InTheFutureError(LedgerError):
    """Something that is said to have happened has not yet."""

    def __init__(self) -> None:
        super().__init__(gettext("This is in the future. Look at the day and the time again."))


class BeforeReleaseError(LedgerError):
    """Work on a lot before the lot was there."""

    def __init__(self, lot: str, released: str) -> None:
        super().__init__(
            gettext(
                "Lot %(lot)s was released %(released)s: nothing can have been done before.", lot=lot, released=released
            )
        )


class StationMissingError(LedgerError):
    """Work that was begun nobody knows where."""

    def __init__(self) -> None:
        super().__init__(gettext("Choose the station where it was begun, or leave the beginning out."))


class NotThereThenError(LedgerError):
    """More pieces than the books have at an operation at the time."""

    def __init__(self, asked: int, there: int, where: str) -> None:
        super().__init__(
            gettext(
                "%(asked)s pieces are more than can be there: %(where)s has %(there)s at that time. "
                "Enter the rows before it too, or count again.",
                asked=asked,
                there=there,
                where=where,
            )
        )


class ComesLaterError(LedgerError):
    """The books bring the pieces only after the time at which they are said to have been worked on."""

    def __init__(self, where: str, entry: str) -> None:
        super().__init__(
            gettext(
                "In the books these pieces reach %(where)s only later: %(entry)s. Look at the times again.",
                where=where,
                entry=entry,
            )
        )


class EntryInTheWayError(LedgerError):
    """An entry that the books have already took the pieces after the time at which they are said to have gone on."""

    def __init__(self, missing: int, where: str, entry: str) -> None:
        super().__init__(
            gettext(
                "%(missing)s of these pieces were taken from %(where)s by another entry: %(entry)s. "
                "Undo that entry first, or correct what you typed.",
                missing=missing,
                where=where,
                entry=entry,
            )
        )


class NothingWrittenError(LedgerError):
    """A form for rows of paper in which no row is filled in."""

    def __init__(self) -> None:
        super().__init__(gettext("Fill in at least one row: when it was done, by whom, and how many pieces."))
