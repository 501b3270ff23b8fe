"""A heap in a part of a column: the least value comes out first."""

from app.core.planning.arrays import (
    Column,
)


def push(column: Column, first: int, size: int, value: int) -> None:
    """Put a value into the heap of ``size`` values that begins at ``first``."""
    at = size
    while at > 0:
        parent = (at - 1) >> 1
        above = column[first + parent]
        if above <= value:
            break
        column[first + at] = above
        at = parent
    column[first + at] = value


def pop(column: Column, first: int, size: int) -> int:
    """Take out and return the least of ``size`` values, one or more."""
    least = column[first]
    value = column[first + size - 1]
    size -= 1
    at = 0
    child = 1
    while child < size:
        if child + 1 < size and column[first + child + 1] < column[first + child]:
            child += 1
        below = column[first + child]
        if value <= below:
            break
        column[first + at] = below
        at = child
        child = 2 * at + 1
    column[first + at] = value
    return least
