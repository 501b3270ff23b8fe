"""What a station refuses, in sentences for the person at the machine."""

from app.shared.errors import NotFoundError, PlainError
from app.shared.words import gettext, ngettext


class FloorError(PlainError):
    """Something a station cannot take; nothing of it was kept."""


class NobodySignedOnError(FloorError):
    """A change without anybody who could have made it."""

    def __init__(self) -> None:
        super().__init__(gettext("Scan your badge first: nobody is signed on at this station."))


class MayNotCheckError(FloorError):
    """The badge is that of somebody who does not check others' first pieces."""

    def __init__(self, name: str) -> None:
        super().__init__(
            gettext("%(name)s does not check first pieces for others. An inspector or a setup lead does.", name=name)
        )


class BadKeyError(FloorError):
    """The form came without the key that makes it count once."""

    def __init__(self) -> None:
        super().__init__(gettext("This form came without its key, so it could count twice. Open the page again."))


class BadAgeError(FloorError):
    """The age a tablet sent with an entry cannot be true."""

    def __init__(self) -> None:
        super().__init__(
            gettext("The tablet says this happened in the future or more than a week ago. Record it on the lot's page.")
        )


class NotSignedOnError(FloorError):
    """A person who is to be signed off, or kept, is not signed on."""

    def __init__(self) -> None:
        super().__init__(gettext("This person is not signed on here any more."))


class RoleNeededError(FloorError):
    """The person signed on has not the role for it."""

    def __init__(self, what: str) -> None:
        super().__init__(
            gettext("%(what)s takes a setup lead, an inspector or an owner. Ask one to scan their badge.", what=what)
        )


class OtherOperationError(FloorError):
    """A code of another operation of the same lot was scanned into a form."""

    def __init__(self, wanted: int, got: int) -> None:
        super().__init__(
            gettext(
                "This is op %(got)s of the same lot, and the form is for op %(wanted)s. Scan its own code.",
                wanted=wanted,
                got=got,
            )
        )


class NoteNotFoundError(NotFoundError):
    """The note is gone: somebody took it down."""

    def __init__(self) -> None:
        super().__init__(gettext("This note is gone: somebody took it down."))


class NoShiftError(FloorError):
    """No shift is known for the station, so nothing can be left for the next one."""

    def __init__(self) -> None:
        super().__init__(gettext("This station has no shifts. Leave the note on the station instead."))


class NotAtAStationError(FloorError):
    """The operation is not done at a station: blanks are received, outside work comes back."""

    def __init__(self, operation: str, kind: str) -> None:
        super().__init__(
            gettext(
                "%(operation)s (%(kind)s) is not done at a station. Record it on the lot's page.",
                operation=operation[:1].upper() + operation[1:],
                kind=kind,
            )
        )


class ClosedLotError(FloorError):
    """All pieces of the lot have left its operations."""

    def __init__(self, lot: str) -> None:
        super().__init__(gettext("Lot %(lot)s is finished: none of its pieces is left at an operation.", lot=lot))


class NoLoadsHereError(FloorError):
    """The lot has no operation here of which several lots can share a load."""

    def __init__(self, lot: str) -> None:
        super().__init__(gettext("Lot %(lot)s has no operation here that runs in pallet loads or batches.", lot=lot))


class AlreadyCollectedError(FloorError):
    """The lot was scanned for this load before."""

    def __init__(self, lot: str) -> None:
        super().__init__(gettext("Lot %(lot)s is in this load already.", lot=lot))


class NothingCollectedError(FloorError):
    """A load of no lots."""

    def __init__(self) -> None:
        super().__init__(gettext("Scan the lots of the load first."))


class EntryNotFoundError(NotFoundError):
    """There is no such entry of this station."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such entry of this station."))


class ReceiptNotFoundError(NotFoundError):
    """No receipt has this number."""

    def __init__(self, code: str) -> None:
        super().__init__(gettext("There is no receipt %(code)s.", code=code))


class NothingMarkedError(FloorError):
    """A sign-off in which no piece is named."""

    def __init__(self) -> None:
        super().__init__(gettext("Say how many pieces are good, scrap or rework."))


class PhotoError(FloorError):
    """A photo from which no code could be read."""


class NoPhotoReaderError(PhotoError):
    """The library that reads codes from photos is not installed."""

    def __init__(self) -> None:
        super().__init__(
            gettext(
                "This computer cannot read codes from photos: the extra “photo” of Lotwright is not installed. "
                "Type the code that stands beside the square."
            )
        )


class NoPictureError(PhotoError):
    """The file is no picture that can be opened."""

    def __init__(self) -> None:
        super().__init__(gettext("This is no picture that can be opened. Send a photo as JPEG or PNG."))


class NoCodeInPhotoError(PhotoError):
    """The picture shows none of our codes, or several."""

    def __init__(self, found: int) -> None:
        super().__init__(
            ngettext(
                "One code was read, and it is none of ours. Photograph the code of the lot or operation.",
                "%(num)d codes were read. Photograph one code alone, close up.",
                found,
            )
            if found
            else gettext("No code can be read in this photo. Hold the phone closer, in better light.")
        )


class InitialsError(FloorError):
    """Initials that nobody has who works here now."""

    def __init__(self, initials: str) -> None:
        super().__init__(
            gettext("Nobody who works here has the initials %(initials)s. People lists them.", initials=initials)
        )


class NotWorkError(FloorError):
    """A code that is neither a lot's nor an operation's."""

    def __init__(self, code: str) -> None:
        super().__init__(gettext("%(code)s names no lot and no operation. Type the code on the traveler.", code=code))


class NothingOfLotHereError(FloorError):
    """No operation of the lot fits the station."""

    def __init__(self, lot: str, station: str) -> None:
        super().__init__(
            gettext(
                "Lot %(lot)s has no operation with pieces for %(station)s. Type the operation's own code.",
                lot=lot,
                station=station,
            )
        )
