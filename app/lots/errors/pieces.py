"""Pieces that are not where an entry would take them from."""

from app.lots.errors.ledger import LedgerError
from app.shared.words import gettext


class LotOnHoldError(LedgerError):
    """The whole lot is on hold."""

    def __init__(self, lot: str, reason: str) -> None:
        super().__init__(
            gettext("Lot %(lot)s is on hold: %(reason)s. A setup lead or owner can release it.", lot=lot, reason=reason)
        )


class OtherLotError(LedgerError):
    """A code of another lot was scanned where this lot's was asked for."""

    def __init__(self, wanted: str, got: str) -> None:
        super().__init__(
            gettext(
                "This is lot %(got)s, and the form is for lot %(wanted)s. Scan its own code.", wanted=wanted, got=got
            )
        )


class TooManyPiecesError(LedgerError):
    """More pieces than are there."""

    def __init__(self, asked: int, there: int, where: str) -> None:
        super().__init__(
            gettext(
                "%(asked)s pieces are more than can be there: %(where)s has %(there)s. "
                "Count again, or mend the earlier entry.",
                asked=asked,
                there=there,
                where=where,
            )
        )


class EarlierNotSignedOffError(LedgerError):
    """The pieces still stand at an earlier operation in the books; ``missing`` says how many, ``where`` at which.

    ``operation_id`` is the operation that they are wanted at.
    """

    def __init__(self, missing: int, where: str, operation_id: int) -> None:
        self.missing = missing
        self.operation_id = operation_id
        super().__init__(
            gettext(
                "%(where)s was not signed off for these %(missing)s pieces. Record it now, or count again.",
                where=where,
                missing=missing,
            )
        )


class NothingHereError(LedgerError):
    """No piece waits at the operation, nor at an earlier one."""

    def __init__(self, where: str) -> None:
        super().__init__(gettext("No pieces wait at %(where)s.", where=where))


class PiecesHeldError(LedgerError):
    """All pieces at the operation are held."""

    def __init__(self, held: int, where: str) -> None:
        super().__init__(
            gettext(
                "The %(held)s pieces at %(where)s are held. A setup lead, inspector or owner can release them.",
                held=held,
                where=where,
            )
        )


class CountAgreesError(LedgerError):
    """A recount that found what the books say."""

    def __init__(self, pieces: int) -> None:
        super().__init__(gettext("The books say %(pieces)s too: there is nothing to put right.", pieces=pieces))


class CountChangedError(LedgerError):
    """The books changed while somebody counted."""

    def __init__(self, pieces: int) -> None:
        super().__init__(
            gettext(
                "The books changed while you counted: they say %(pieces)s now. Look again, and count once more.",
                pieces=pieces,
            )
        )
