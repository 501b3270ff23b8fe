"""What can be refused about routings."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.parts.errors.inputs import PartInputError
from app.shared.errors import PlainError
from app.shared.words import gettext


@dataclass(frozen=True, slots=True)
class RowProblem:
    """What is wrong with an operation of a routing being saved.

    Attributes:
        row: place in the list, from 0; None where it is about the routing as a whole.
        about: the field, named as ``NewOperation`` does.
        sentence: what is wrong and how to mend it.
    """

    row: int | None
    about: str
    sentence: str


class RoutingRefusedError(PlainError):
    """A routing breaks rules; ``problems`` names each."""

    def __init__(self, problems: Sequence[RowProblem]) -> None:
        super().__init__(" ".join(problem.sentence for problem in problems))
        self.problems = tuple(problems)


class RoutingClashError(PlainError):
    """Somebody else saved the routing meanwhile."""

    def __init__(self, version: int, who: str, when: str) -> None:
        super().__init__(
            gettext(
                "%(who)s saved version %(version)s of this routing on %(when)s, after you opened it. Nothing of yours "
                "is stored yet. Look at that version, take over here what should stay, and save again.",
                version=version,
                who=who,
                when=when,
            )
        )
        self.version = version


class NoRoutingToCopyError(PartInputError):
    """A part whose operations should be copied has none."""

    about = "copy_from"

    def __init__(self, number: str) -> None:
        super().__init__(gettext("The current revision of %(number)s has no routing to copy.", number=number))


class EarlierVersionError(PlainError):
    """What is shown at an operation of an earlier version of a routing can no longer be changed."""

    def __init__(self) -> None:
        super().__init__(
            gettext(
                "This operation is of an earlier version of the routing, which stays as it was. "
                "Change the files of the newest version."
            )
        )
