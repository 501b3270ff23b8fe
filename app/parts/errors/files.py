"""What can be refused about drawings and set-up sheets."""

from app.parts.errors.inputs import PartInputError
from app.shared.words import gettext


class FileRefusedError(PartInputError):
    """An uploaded drawing or set-up sheet cannot be taken."""

    about = "file"


class UnreadableFileError(FileRefusedError):
    """The file is of another kind, or damaged."""

    def __init__(self, name: str, *, damaged: bool) -> None:
        super().__init__(
            gettext("“%(name)s” is damaged. Open it, save it again and choose the new file.", name=name)
            if damaged
            else gettext("“%(name)s” is none of PNG, JPEG, WebP and PDF. Save it as one of these.", name=name)
        )


class LockedFileError(FileRefusedError):
    """A PDF needs a password."""

    def __init__(self, name: str) -> None:
        super().__init__(gettext("“%(name)s” is locked with a password. Save it without one.", name=name))


class TooManyPagesError(FileRefusedError):
    """A PDF has more pages than a station can show."""

    def __init__(self, pages: int, most: int) -> None:
        super().__init__(
            gettext(
                "It has %(pages)s pages; at most %(most)s can be shown. Save only the pages needed at this operation.",
                pages=pages,
                most=most,
            )
        )


class FileTooLargeError(FileRefusedError):
    """The file, or a picture in it, is larger than can be shown."""

    def __init__(self, most: str) -> None:
        super().__init__(gettext("It is larger than %(most)s. Save it smaller, or only the part needed.", most=most))


class FileReaderMissingError(FileRefusedError):
    """The library that reads this kind of file is not installed here."""

    def __init__(self, kind: str, package: str) -> None:
        super().__init__(
            gettext(
                "%(kind)s files cannot be read on this computer: %(package)s is not installed. On the shop PC, install "
                "Lotwright with its part “files”, then start it again.",
                kind=kind,
                package=package,
            )
        )
