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
    last = first + size - 1
    value = column[last]
    at = first
    child = first + 1
    while child < last:
        # Beside the last child of all there still is the value itself, which is put above it if it is less.
        child += column[child + 1] < column[child]  # no branch, which a processor would guess wrong half the time
        below = column[child]
        if value <= below:
            break
        column[at] = below
        at = child
        child = 2 * (at - first) + first + 1
    column[at] = value
    return least
