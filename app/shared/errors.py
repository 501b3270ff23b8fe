"""The root of all errors whose sentence is fit for a person."""

from collections.abc import Iterable
from dataclasses import dataclass


class PlainError(Exception):
    """An error that says in one plain sentence what is wrong and how to mend it.

    A view puts the sentence beside a field or on a page; a command prints it and exits with code 2.
    """


class NotFoundError(PlainError):
    """What was asked for does not exist; pages answer it with status 404."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong and where: ``place`` is a field's name, in rows a path such as ``lines-0-due``."""

    place: str
    error: PlainError


class RefusedError(PlainError):
    """An input with something wrong in it; ``problems`` says all of it, and nothing is kept."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__(" ".join(str(problem.error) for problem in self.problems))


def refuse(problems: Iterable[Problem]) -> None:
    """Raise what was found, all at once.

    Raises:
        RefusedError: there is something.
    """
    found = tuple(problems)
    if found:
        raise RefusedError(found)
