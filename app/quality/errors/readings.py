"""What is refused at the station about readings."""

from collections.abc import Sequence
from typing import ClassVar

from app.core.quality.readings import Suspicion
from app.shared.errors import NotFoundError, PlainError
from app.shared.words import gettext


class NoSuchMeasuringError(NotFoundError):
    """Nothing is measured there."""

    def __init__(self) -> None:
        super().__init__(gettext("Nothing is measured at this operation."))


class ReadingNotFoundError(NotFoundError):
    """There is no such reading."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such reading."))


class MeasuringRefusedError(PlainError):
    """A reading is refused; ``about`` names the field."""

    about: ClassVar[str] = "typed"


class SameKeyError(MeasuringRefusedError):
    """The same form was sent again with something else in it."""

    def __init__(self, kept: str) -> None:
        super().__init__(
            gettext("This form was already recorded: %(kept)s. Open the page again for the next reading.", kept=kept)
        )


class FarOutError(MeasuringRefusedError):
    """The value lies so far out that it may be a slip: it is kept once somebody says that it is right."""

    def __init__(self, typed: str, value: str, meant: Sequence[Suspicion], sentence: str) -> None:
        super().__init__(sentence)
        self.typed = typed
        self.value = value
        self.meant = tuple(meant)


class NothingTypedError(MeasuringRefusedError):
    """The field is empty."""

    def __init__(self) -> None:
        super().__init__(gettext("Type the reading first."))


class PaperLineError(MeasuringRefusedError):
    """A line of readings typed from paper cannot be read, or is in doubt."""

    about = "readings"

    def __init__(self, line: str, more: str = "") -> None:
        how = gettext("Type characteristic, piece and value, then gauge and time where they are known: 1 5 0.5003 M-07")
        super().__init__(
            f"{line} {more}" if more else gettext("“%(line)s” cannot be read. %(how)s", line=line, how=how)
        )


class OutOnPaperError(MeasuringRefusedError):
    """A reading on paper is out of tolerance."""

    about = "readings"

    def __init__(self, line: str, standing: str) -> None:
        super().__init__(
            gettext(
                "“%(line)s” is %(standing)s. Leave this row out for now and take the reading on the station's page "
                "Measure: it holds the lot, and somebody decides about the pieces.",
                line=line,
                standing=standing,
            )
        )


class SignedOffError(MeasuringRefusedError):
    """All pieces have left the operation."""

    def __init__(self, operation: str) -> None:
        super().__init__(
            gettext(
                "All pieces are signed off at %(operation)s: no more readings are taken there. "
                "Undo the sign-off first, or say on the lot's page that the pieces were found out later.",
                operation=operation,
            )
        )


class NotMadeError(MeasuringRefusedError):
    """No piece has come to the operation yet."""

    def __init__(self, operation: str) -> None:
        super().__init__(gettext("No piece has come to %(operation)s yet.", operation=operation))


class AnswerMissingError(MeasuringRefusedError):
    """Neither yes nor no was said."""

    about = "met"

    def __init__(self) -> None:
        super().__init__(gettext("Say whether it is met."))


class NoSuchPieceError(MeasuringRefusedError):
    """The lot has no such piece."""

    about = "piece"

    def __init__(self, pieces: int) -> None:
        super().__init__(gettext("Pieces are numbered from 1 to %(pieces)s here.", pieces=pieces))


class SerialMissingError(MeasuringRefusedError):
    """The plan asks for serial numbers."""

    about = "serial"

    def __init__(self) -> None:
        super().__init__(gettext("Type the serial number of the piece: the control plan asks for it."))


class GaugeMissingError(MeasuringRefusedError):
    """The plan names a kind of gauge, and none of it was chosen."""

    about = "gauge_id"

    def __init__(self, kind: str) -> None:
        super().__init__(gettext("Choose the gauge you measured with: %(kind)s.", kind=kind))


class GaugeBlockedError(MeasuringRefusedError):
    """The gauge must not be used."""

    about = "gauge_id"

    def __init__(self, gauge: str, why: str) -> None:
        super().__init__(gettext("Gauge %(gauge)s must not be used: %(why)s. Take another one.", gauge=gauge, why=why))


class FirstPieceNotGoodError(MeasuringRefusedError):
    """The run waits for a good first piece."""

    def __init__(self, names: Sequence[str]) -> None:
        super().__init__(
            gettext("The first piece must pass before the run goes on. Measure it: %(names)s.", names=", ".join(names))
        )


class AlreadyStruckError(MeasuringRefusedError):
    """The reading was struck out before."""

    about = "reason"

    def __init__(self) -> None:
        super().__init__(gettext("This reading is struck out already."))


class WhyMissingError(MeasuringRefusedError):
    """No reason was given."""

    about = "reason"

    def __init__(self) -> None:
        super().__init__(gettext("Say why: the reason stays on record."))


class MayNotStrikeError(MeasuringRefusedError):
    """Only an inspector or owner strikes out what made pieces suspect."""

    about = "reason"

    def __init__(self, name: str) -> None:
        super().__init__(
            gettext(
                "This reading made pieces suspect. An inspector or owner can strike it out; %(name)s cannot.", name=name
            )
        )


class MayNotWaiveError(MeasuringRefusedError):
    """Only an inspector lets an operation go on without readings."""

    about = "reason"

    def __init__(self, name: str) -> None:
        super().__init__(
            gettext("%(name)s is no inspector. An inspector signs on here with their badge first.", name=name)
        )


class NothingMissingError(MeasuringRefusedError):
    """Nothing is missing that could be waived."""

    about = "reason"

    def __init__(self) -> None:
        super().__init__(gettext("Nothing is missing here: it can be signed off as it is."))
