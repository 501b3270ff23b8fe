"""What is refused about studies of gauges."""

from app.shared.errors import NotFoundError, PlainError
from app.shared.words import gettext


class StudyNotFoundError(NotFoundError):
    """There is no such study."""

    def __init__(self) -> None:
        super().__init__(gettext("There is no such study. Open it from its gauge."))


class StudyError(PlainError):
    """The values of a study do not make one."""


class StudyLineError(StudyError):
    """A line that cannot be read."""

    def __init__(self, line: int, why: str) -> None:
        super().__init__(gettext("Line %(line)s: %(why)s", line=line, why=why))


class UnbalancedError(StudyError):
    """Not everybody measured each part equally often."""

    def __init__(self, appraiser: str, part: str, found: int, expected: int) -> None:
        super().__init__(
            gettext(
                "%(who)s has %(found)s values of part %(part)s, others have %(expected)s. All measure each part "
                "equally often.",
                who=appraiser,
                part=part,
                found=found,
                expected=expected,
            )
        )
