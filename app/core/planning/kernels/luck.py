"""The luck of the searches: D. H. Lehmer's generator, whose state stands in a place of an array."""

from app.core.planning.arrays import (
    Column,
)


def drawn_below(column: Column, place: int, most: int) -> int:
    """Return the next of a sequence of numbers below ``most``; the state is neither 0 nor 2 ** 31 - 1."""
    column[place] = column[place] * 48_271 % 2_147_483_647
    return (column[place] * most) >> 31
