"""What can be wrong with a question about the past."""

from app.shared.errors import NotFoundError, PlainError
from app.shared.words import gettext


class SubjectNotFoundError(NotFoundError):
    """There is nothing of this kind to begin from."""

    def __init__(self) -> None:
        super().__init__(gettext("There is nothing on record to trace from here. Look for it on the page Trace."))


class TooManyLotsError(PlainError):
    """The question leads to more lots than one page or file answers."""

    def __init__(self, most: int) -> None:
        super().__init__(
            gettext("This leads to more than %(most)s lots. Choose fewer days.", most=f"{most:,}"),
        )


class NotCertifiedError(PlainError):
    """The record does not let the shop certify this shipment."""

    def __init__(self, why: str) -> None:
        super().__init__(gettext("No certificate can be made: %(why)s", why=why))
