"""What is refused about gauges and calibrations."""

from typing import ClassVar

from app.shared.errors import NotFoundError, PlainError
from app.shared.words import gettext, ngettext


class GaugeNotFoundError(NotFoundError):
    """There is no such gauge."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such gauge. Choose one from the list."))


class GaugeInputError(PlainError):
    """Something typed about a gauge is refused; ``about`` names the field."""

    about: ClassVar[str] = "name"


class GaugeTakenError(GaugeInputError):
    """Two gauges would have the same name."""

    def __init__(self, name: str) -> None:
        super().__init__(gettext("There is already a gauge %(name)s. Type what is engraved on this one.", name=name))


class GaugeRangeError(GaugeInputError):
    """A range that ends before it begins."""

    about = "range_high"

    def __init__(self) -> None:
        super().__init__(gettext("The range must end above where it begins."))


class ResolutionError(GaugeInputError):
    """A resolution that is not above zero."""

    about = "resolution"

    def __init__(self) -> None:
        super().__init__(gettext("Type its smallest step, above 0, such as 0.0001."))


class GaugeInUseError(GaugeInputError):
    """A gauge with readings or calibrations cannot be deleted."""

    def __init__(self, name: str, readings: int) -> None:
        super().__init__(
            ngettext(
                "%(name)s has %(num)d reading or calibration on record and cannot be deleted. "
                "Take it out of use: it is offered no more, and what it measured stays.",
                "%(name)s has %(num)d readings or calibrations on record and cannot be deleted. "
                "Take it out of use: it is offered no more, and what it measured stays.",
                readings,
                name=name,
            )
        )


class CalibrationDayError(GaugeInputError):
    """A calibration in the future."""

    about = "made_on"

    def __init__(self) -> None:
        super().__init__(gettext("A calibration is recorded once it is made: the day lies in the future."))


class WarningByOwnerError(GaugeInputError):
    """Somebody who is no owner would have stations only warn of an overdue gauge."""

    about = "when_overdue"

    def __init__(self, name: str) -> None:
        super().__init__(gettext("Only an owner lets stations merely warn; %(name)s cannot.", name=name))
