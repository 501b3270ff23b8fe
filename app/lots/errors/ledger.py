"""What makes an entry impossible whatever it is about, and what no lot or operation has."""

from app.shared.errors import NotFoundError, PlainError
from app.shared.words import gettext


class LedgerError(PlainError):
    """An entry that cannot be true; nothing of it was kept. Its sentence begins large, whatever it begins with."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence[:1].upper() + sentence[1:])


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


class ReasonMissingError(LedgerError):
    """Scrap, holds and rework need a reason."""

    def __init__(self) -> None:
        super().__init__(gettext("Say why: choose or write a reason."))


class CannotUndoError(LedgerError):
    """The pieces have moved on, or the entry was undone already."""
