"""What can be refused about the schedule, in sentences fit for a person."""

from app.shared.errors import PlainError
from app.shared.words import gettext


class LotFinishedError(PlainError):
    """A lot that is finished has no turn to wait for."""

    def __init__(self, name: str) -> None:
        super().__init__(gettext("Lot %(name)s is finished: nothing of it is left to put first.", name=name))


class NotPinnedError(PlainError):
    """Only a pinned lot has a place to move from."""

    def __init__(self, name: str) -> None:
        super().__init__(
            gettext("Lot %(name)s is not pinned any more: somebody let it go. Put it first again instead.", name=name)
        )


class NoProposalError(PlainError):
    """A proposal can be accepted once, while it stands."""

    def __init__(self) -> None:
        super().__init__(gettext("This proposal was accepted, left or replaced meanwhile. Look at the page again."))


class NothingChosenError(PlainError):
    """Parts of a proposal are stations."""

    def __init__(self) -> None:
        super().__init__(gettext("Tick at least one station, or accept all."))


class NoRemedyError(PlainError):
    """Answers of the planner are kept for a day."""

    def __init__(self) -> None:
        super().__init__(gettext("This answer is gone. Ask again what would help."))


class RemedyDoneError(PlainError):
    """A remedy is done once: a second press would do more than was tried."""

    def __init__(self) -> None:
        super().__init__(gettext("This was done already. Ask again what would help now."))


class NotInOneStepError(PlainError):
    """Blanks that nobody has ordered have no day that could be moved."""

    def __init__(self) -> None:
        super().__init__(gettext("These blanks are not ordered yet. Order them first."))


class MovedSinceError(PlainError):
    """A purchase was moved after the planner tried to have it sooner."""

    def __init__(self, vendor: str) -> None:
        super().__init__(
            gettext(
                "What %(vendor)s delivers was moved to another day since. Ask again what would help.", vendor=vendor
            )
        )
