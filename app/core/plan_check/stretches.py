"""Sets of seconds as ascending stretches ``(start, end)``, reckoned slowly by asking about each piece between edges."""

from collections.abc import Callable, Iterable
from itertools import pairwise

Stretch = tuple[int, int]


def kept(window: Stretch, edges: Iterable[int], holds: Callable[[int], bool]) -> list[Stretch]:
    """Return the seconds of ``window`` for which ``holds`` is true, if it changes only at ``edges``."""
    first, last = window
    inner = sorted({first, last, *(edge for edge in edges if first < edge < last)})
    stretches: list[Stretch] = []
    for start, end in pairwise(inner):
        if not holds(start):
            continue
        if stretches and stretches[-1][1] == start:
            stretches[-1] = (stretches[-1][0], end)
        else:
            stretches.append((start, end))
    return stretches


def covers(stretches: Iterable[Stretch], second: int) -> bool:
    """Tell whether one of the stretches has the second in it."""
    return any(start <= second < end for start, end in stretches)


def edges_of(*sets: Iterable[Stretch]) -> list[int]:
    """Return every start and end."""
    return [edge for stretches in sets for stretch in stretches for edge in stretch]
