"""SplitMix64 (Steele, Lea and Flood 2014), and draws with it that are whole numbers throughout.

Compiled, a number of 64 bits is signed and wraps; in plain Python it is not and grows. ``low64`` keeps the bits alike,
and what is drawn from them (31 bits at a time) is the same number in both.

A draw is found by what it is for, not by how many came before it: seed and replication make a stream, the key of an
operation a stream within it, and the kind of draw a number within that. So two plans meet the same luck.
"""

from typing import Final

from app.core.planning.arrays import Column
from app.core.planning.kernels.spans import later_than

LOW_32: Final = (1 << 32) - 1
LOW_31: Final = (1 << 31) - 1
# The constants of SplitMix64, as signed numbers of 64 bits.
GOLDEN: Final = 0x9E3779B97F4A7C15 - (1 << 64)
FIRST: Final = 0xBF58476D1CE4E5B9 - (1 << 64)
SECOND: Final = 0x94D049BB133111EB - (1 << 64)

ONE: Final = 1 << 16
"""A factor of 1."""
CHANCE: Final = 1 << 20
"""A chance of 1."""
CERTAIN: Final = 1 << 30
"""A chance of 1 while a number of pieces is drawn."""


def low64(value: int) -> int:
    """Return the lowest 64 bits."""
    return (((value >> 32) & LOW_32) << 32) | (value & LOW_32)


def shifted(value: int, by: int) -> int:
    """Return 64 bits shifted to the right, zeros coming in."""
    return (value >> by) & ((1 << (64 - by)) - 1)


def mixed(value: int) -> int:
    """Return 64 bits made of 64 others, all of which matter to each."""
    value = low64((value ^ shifted(value, 30)) * FIRST)
    value = low64((value ^ shifted(value, 27)) * SECOND)
    return value ^ shifted(value, 31)


def drawn(stream: int, number: int) -> int:
    """Return draw number ``number`` (from 0) of a stream: 64 bits."""
    return mixed(low64(stream + (number + 1) * GOLDEN))


def stream_of(stream: int, key: int) -> int:
    """Return the stream of a key within a stream."""
    return mixed(low64(stream ^ key))


def bits(stream: int, number: int) -> int:
    """Return 31 bits of a draw."""
    return shifted(drawn(stream, number), 33) & LOW_31


def pick(column: Column, first: int, size: int, chance: int) -> int:
    """Return one of ``size`` values, all equally likely; ``chance`` is 31 bits."""
    return column[first + ((chance * size) >> 31)]


def pick_above(column: Column, first: int, size: int, chance: int, least: int) -> int:
    """Return one of those of ``size`` ascending values that are above ``least``, or -1 when none is."""
    low = later_than(column, first, first + size, least)
    left = first + size - low
    return -1 if left == 0 else pick(column, low, left, chance)


def scaled(value: int, factor: int) -> int:
    """Return a value times a factor, rounded to the nearest whole number."""
    return (value * factor + (ONE >> 1)) >> 16


def power(base: int, exponent: int) -> int:
    """Return a chance, in parts of CERTAIN, to a power."""
    result = CERTAIN
    while exponent > 0:
        if exponent & 1:
            result = (result * base) >> 30
        base = (base * base) >> 30
        exponent >>= 1
    return result


def binomial(pieces: int, chance: int, stream: int) -> int:
    """Return how many of some pieces are hit when each is with a chance, in parts of CHANCE.

    By inversion, part by part: a part is small enough that some chance of no hit at all is left.
    """
    if chance <= 0:
        return 0
    part = max(1, (8 * CHANCE) // chance)
    hits = 0
    number = 0
    while pieces > 0:
        some = min(pieces, part)
        hits += inverse(some, chance, bits(stream, number) >> 1)
        pieces -= some
        number += 1
    return hits


def inverse(pieces: int, chance: int, wanted: int) -> int:
    """Return the least number of hits whose cumulated binomial chance is above ``wanted``, 30 bits."""
    ratio = (chance << 20) // (CHANCE - chance)
    exactly = power(CERTAIN - (chance << 10), pieces)
    total = exactly
    hits = 0
    while total <= wanted and hits < pieces and exactly > 0:  # 0: what is left is rounding
        exactly = exactly * ((pieces - hits) * ratio) // ((hits + 1) << 20)
        hits += 1
        total += exactly
    return hits
