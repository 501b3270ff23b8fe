"""What can be refused about paper files and backups, in sentences fit for a person."""

from app.shared.errors import PlainError
from app.shared.words import gettext


class NoTimesError(PlainError):
    """A folder was chosen and no time of day."""

    def __init__(self) -> None:
        super().__init__(gettext("Enter at least one time of day, such as 06:00."))


class NoWeekdaysError(PlainError):
    """A folder was chosen and no day of the week."""

    def __init__(self) -> None:
        super().__init__(gettext("Tick at least one day."))


class SharedFolderError(PlainError):
    """The paper files and the backup would lie in each other's folder."""

    def __init__(self) -> None:
        super().__init__(
            gettext(
                "Paper files and backups need folders apart, neither inside the other: paper files are shared with "
                "phones, and a backup holds everything."
            )
        )


class ForeignIndexError(PlainError):
    """The folder has an index.html that is not ours, and would lose it."""

    def __init__(self) -> None:
        super().__init__(
            gettext("There is an index.html in this folder already, not one of ours. Choose another folder.")
        )


class NoFolderError(PlainError):
    """One was asked for before a folder was chosen."""

    def __init__(self) -> None:
        super().__init__(gettext("Choose its folder and save first."))
