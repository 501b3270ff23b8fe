"""The array of a search by ranks, beside those of the shop: its rule, luck, best order, the plan it moves from."""

from typing import Final

# Places of the head.
(
    RH_SEED,
    RH_FIRST,  # the ranks before this one stay
    RH_FROM,  # the move drawn: what has one rank gets another
    RH_TO,
    RH_UNFINISHED,  # what the best order is worth
    RH_COST,
    RH_LATE,
    RH_FLOW,
    RH_KEPT,  # where the best order begins: by rank, the number of each operation
    RH_ENDS,  # the ends of the lots of the plan that is moved from
    RH_BEGUN,  # its runs
    RH_BEGUN_COUNT,
    RH_RULE,  # of dispatch, by which it begins
    RH_TENTHS,  # its factor
    RH_WAITING,  # what waits, most urgent first
    RH_WAITING_COUNT,
    RANK_HEAD,
) = range(17)

# Columns of its runs.
U_OP, U_STATION, U_START, U_READY, BEGUN_COLUMNS = range(5)

# Columns of what waits: an operation and what makes it urgent; in the order of rows, the ranks to be given.
T_OP, T_URGENCY, T_RANK, WAITING_COLUMNS = range(4)

Ranked = list[int]
"""The array, which compiled kernels have as one of numpy's."""

AIMED: Final = 12
"""So many of sixteen moves aim at what makes a lot late."""


def rank_array(ops: int, lots: int, runs: int, first: int, seed: int) -> Ranked:
    """Return the array for a shop with room for so many runs; the ranks before ``first`` stay."""
    array = [0] * (RANK_HEAD + ops + lots + runs * BEGUN_COLUMNS + ops * WAITING_COLUMNS)
    array[RH_SEED], array[RH_FIRST] = seed, first
    array[RH_KEPT], array[RH_ENDS], array[RH_BEGUN] = RANK_HEAD, RANK_HEAD + ops, RANK_HEAD + ops + lots
    array[RH_WAITING] = array[RH_BEGUN] + runs * BEGUN_COLUMNS
    return array
