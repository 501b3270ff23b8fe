"""What the piece ledger refuses, in sentences for the person at the machine."""

from dataclasses import dataclass

from app.shared.errors import NotFoundError, PlainError
from app.shared.words import gettext, ngettext


class LedgerError(PlainError):
    """An entry that cannot be true; nothing of it was kept."""


class LargestStartError(LedgerError):
    """More pieces would have to be started than anybody starts at once."""

    def __init__(self, largest: int) -> None:
        super().__init__(
            gettext(
                "More than %(largest)s pieces would have to be started: check the quantity and the yields.",
                largest=f"{largest:,}",
            )
        )


class EntryRefusedError(LedgerError):
    """What later areas refuse about an entry; the sentences come from their checks."""

    def __init__(self, sentences: list[str]) -> None:
        super().__init__(" ".join(sentences))


class LotNotFoundError(NotFoundError):
    """No lot has this number."""

    def __init__(self, code: str) -> None:
        super().__init__(gettext("There is no lot %(code)s.", code=code))


class OperationNotFoundError(NotFoundError):
    """No operation has this number."""

    def __init__(self, code: str) -> None:
        super().__init__(gettext("There is no operation %(code)s.", code=code))


class KeyReusedError(LedgerError):
    """The same form was sent again with other content."""

    def __init__(self, kept: str) -> None:
        super().__init__(
            gettext(
                "This form was already recorded: %(kept)s. Open the page again to record something else.", kept=kept
            )
        )


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


class StationFullError(LedgerError):
    """The station has a job open on each of its pallets."""

    def __init__(self, station: str, jobs: str) -> None:
        super().__init__(
            gettext("%(station)s already runs %(jobs)s. Finish or pause it first.", station=station, jobs=jobs)
        )


class WrongStationError(LedgerError):
    """The operation belongs to another work center."""

    def __init__(self, operation: str, work_center: str, station: str) -> None:
        super().__init__(
            gettext(
                "%(operation)s is planned for %(work_center)s, and this is %(station)s.",
                operation=operation,
                work_center=work_center,
                station=station,
            )
        )


class SentElsewhereError(WrongStationError):
    """The operation was sent to another station of the work center."""

    def __init__(self, operation: str, sent_to: str, station: str) -> None:
        LedgerError.__init__(
            self,
            gettext(
                "%(operation)s was sent to %(sent_to)s, and this is %(station)s.",
                operation=operation,
                sent_to=sent_to,
                station=station,
            ),
        )


class AlreadySentError(LedgerError):
    """The operation is sent to this station already."""

    def __init__(self, operation: str, station: str) -> None:
        super().__init__(gettext("%(operation)s is sent to %(station)s already.", operation=operation, station=station))


class NotSentError(LedgerError):
    """The operation is not sent to any one station."""

    def __init__(self, operation: str) -> None:
        super().__init__(
            gettext("%(operation)s is not sent to any one station. Somebody may have let it go.", operation=operation)
        )


class StationDownError(LedgerError):
    """The station is recorded as down."""

    def __init__(self, station: str) -> None:
        super().__init__(gettext("%(station)s is recorded as down. Say first that it is back.", station=station))


class AlreadyOpenError(LedgerError):
    """The operation is open here already."""

    def __init__(self, where: str) -> None:
        super().__init__(gettext("%(where)s is already open here.", where=where))


class NotOpenError(LedgerError):
    """The operation is not open at this station."""

    def __init__(self, where: str) -> None:
        super().__init__(gettext("%(where)s is not open here. Scan it to begin.", where=where))


class FirstPieceError(LedgerError):
    """The routing asks for a good first piece before the run of ``operation_id`` goes on."""

    def __init__(self, where: str, operation_id: int) -> None:
        self.operation_id = operation_id
        super().__init__(gettext("%(where)s needs a good first piece before it goes on. Record it first.", where=where))


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


class BatchError(LedgerError):
    """Lots that cannot run in one batch."""


class ReasonMissingError(LedgerError):
    """Scrap, holds and rework need a reason."""

    def __init__(self) -> None:
        super().__init__(gettext("Say why: choose or write a reason."))


class CannotUndoError(LedgerError):
    """The pieces have moved on, or the entry was undone already."""


class SplitError(LedgerError):
    """A split that would leave nothing on one side."""


class ReleaseError(LedgerError):
    """A lot that cannot be released as asked."""


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
            gettext("%(free)s pieces of lot %(lot)s are free: the rest is meant for others.", lot=lot, free=free)
        )


class NotMeantError(LedgerError):
    """Nothing can be meant, or is meant, for this delivery."""

    def __init__(self, order: str) -> None:
        super().__init__(
            gettext("The delivery of order %(order)s takes no pieces of this lot. Open the order again.", order=order)
        )


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
