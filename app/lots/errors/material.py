"""Blanks and components that the books lack."""

from dataclasses import dataclass

from app.lots.errors.ledger import LedgerError
from app.shared.words import gettext, ngettext


class BlanksNotReceivedError(LedgerError):
    """Pieces are worked on of which the books know no blanks, and no such blanks are at hand."""

    def __init__(self, missing: int, lot: str) -> None:
        super().__init__(
            ngettext(
                "No blank is on record for %(num)d piece of lot %(lot)s, and none is at hand. "
                "Have it received in the office first, then record this.",
                "No blanks are on record for %(num)d pieces of lot %(lot)s, and none are at hand. "
                "Have them received in the office first, then record this.",
                missing,
                lot=lot,
            )
        )


@dataclass(frozen=True, slots=True)
class BlanksAtHand:
    """Blanks that a receipt still has."""

    receipt_id: int
    code: str
    heat: str
    pieces: int


class BlanksNotIssuedError(LedgerError):
    """Pieces are worked on of which the books know no blanks.

    Attributes:
        missing: how many.
        lot_id: the lot they belong to.
        begun: how many further ones, which have blanks, earlier operations have not signed off.
        operation_id: where all of them are wanted, when operations lie between; None: the blanks lead straight there.
        at_hand: the receipts with such blanks, first received first; never empty.
    """

    def __init__(
        self, missing: int, lot_id: int, begun: int, operation_id: int | None, at_hand: tuple[BlanksAtHand, ...]
    ) -> None:
        self.missing, self.lot_id, self.begun = missing, lot_id, begun
        self.operation_id, self.at_hand = operation_id, at_hand
        super().__init__(
            ngettext(
                "No blank is on record for %(num)d of these pieces. Say which receipt it came from.",
                "No blanks are on record for %(num)d of these pieces. Say which receipt they came from.",
                missing,
            )
        )


class ComponentsMissingError(LedgerError):
    """Components have not been scanned for all pieces."""

    def __init__(self, part: str, missing: int) -> None:
        super().__init__(
            gettext(
                "%(missing)s more of component %(part)s are needed. Scan the lot or receipt they come from.",
                part=part,
                missing=missing,
            )
        )


class NotAComponentError(LedgerError):
    """What was scanned does not go into this operation."""

    def __init__(self, what: str, where: str) -> None:
        super().__init__(gettext("%(what)s is not a component of %(where)s.", what=what, where=where))


class NotTheBlankError(LedgerError):
    """A receipt of something else than the blanks that a lot is cut from."""

    def __init__(self, receipt: str, item: str, lot: str) -> None:
        super().__init__(
            gettext(
                "Receipt %(receipt)s holds %(item)s: it is not the blank of lot %(lot)s.",
                receipt=receipt,
                item=item,
                lot=lot,
            )
        )
