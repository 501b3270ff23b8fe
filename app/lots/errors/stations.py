"""What a station refuses: work that is not its own, or more than it holds."""

from app.lots.errors.ledger import LedgerError
from app.shared.words import gettext


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


class AllCountedError(LedgerError):
    """All pieces of an open job are counted: they are finished, and nothing is left to take off unfinished."""

    def __init__(self, where: str) -> None:
        super().__init__(gettext("All pieces at %(where)s are counted: sign them off instead.", where=where))


class FirstPieceError(LedgerError):
    """The routing asks for a good first piece before the run of ``operation_id`` goes on."""

    def __init__(self, where: str, operation_id: int) -> None:
        self.operation_id = operation_id
        super().__init__(gettext("%(where)s needs a good first piece before it goes on. Record it first.", where=where))


class LoadError(LedgerError):
    """Lots that cannot run in one batch."""
