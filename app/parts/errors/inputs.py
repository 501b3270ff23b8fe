"""What can be refused about parts, revisions, components and kinds of operation."""

from collections.abc import Sequence
from typing import ClassVar

from app.shared.errors import PlainError
from app.shared.words import gettext


class PartInputError(PlainError):
    """Something that was typed is refused; ``about`` names it as the service's input does."""

    about: ClassVar[str]


class NumberTakenError(PartInputError):
    """Two parts would have the same number, or numbers that differ only in capitals."""

    about = "number"

    def __init__(self, number: str) -> None:
        super().__init__(gettext("There is already a part %(number)s. Open it to add a revision.", number=number))


class LabelTakenError(PartInputError):
    """Two revisions of a part would have the same label."""

    about = "label"

    def __init__(self, number: str, label: str) -> None:
        super().__init__(
            gettext(
                "%(number)s already has a revision %(label)s. Type the label of the new drawing.",
                number=number,
                label=label,
            )
        )


class PiecesPerUnitError(PartInputError):
    """A blank bought by the piece makes one piece."""

    about = "pieces_per_unit"

    def __init__(self) -> None:
        super().__init__(
            gettext("A blank bought by the piece makes 1 piece. Where more are cut from it, it is a plate or a bar.")
        )


class TooHeavyForBatchError(PartInputError):
    """A piece would no longer fit the batch of an operation of the routing."""

    about = "piece_grams"

    def __init__(self, operation: int, bound: str) -> None:
        super().__init__(
            gettext(
                "A batch of operation %(operation)s holds at most %(bound)s. Change the routing first.",
                operation=operation,
                bound=bound,
            )
        )


class NoSuchPartError(PartInputError):
    """A typed part number is nobody's."""

    about = "part_number"

    def __init__(self, number: str) -> None:
        super().__init__(
            gettext("There is no part %(number)s. Check the number, or add the part first.", number=number)
        )


class OwnComponentError(PartInputError):
    """A part would be a component of itself."""

    about = "part_number"

    def __init__(self) -> None:
        super().__init__(gettext("A part cannot be a component of itself."))


class ComponentLoopError(PartInputError):
    """A part would, through others, go into itself."""

    about = "part_number"

    def __init__(self, numbers: Sequence[str]) -> None:
        chain = " → ".join(numbers)
        super().__init__(gettext("That would go round in a circle, each into the next: %(chain)s.", chain=chain))


class ComponentTwiceError(PartInputError):
    """The component is already taken at that operation."""

    about = "part_number"

    def __init__(self, number: str, operation: int) -> None:
        super().__init__(
            gettext(
                "Operation %(operation)s already takes %(number)s. Remove it first to change how many.",
                number=number,
                operation=operation,
            )
        )


class OperationNotInRoutingError(PartInputError):
    """A component would be fitted at an operation that the routing does not have."""

    about = "operation_number"

    def __init__(self, number: int, there_are: Sequence[int]) -> None:
        if there_are:
            numbers = ", ".join(map(str, there_are))
            super().__init__(
                gettext("The routing has no operation %(number)s. It has %(numbers)s.", number=number, numbers=numbers)
            )
        else:
            super().__init__(gettext("This revision has no routing yet. Make the routing first."))


class KindNameTakenError(PartInputError):
    """Two kinds of operation would have the same name."""

    about = "name"

    def __init__(self, name: str) -> None:
        super().__init__(gettext("There is already a kind of operation called %(name)s.", name=name))


class KindInUseError(PartInputError):
    """What a kind means cannot change under the routings that use it."""

    about = "role"

    def __init__(self, name: str) -> None:
        super().__init__(gettext("Routings use %(name)s as it is. Add another kind for the other meaning.", name=name))
