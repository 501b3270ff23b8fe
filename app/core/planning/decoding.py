"""Running the decoder: room for what it writes, longer calendars where they run out, compiled where it is wanted."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from app.core.planning import arrays as a
from app.core.planning.flattening import flatten
from app.core.planning.graph_arrays import Graph
from app.core.planning.kernels import (
    annealing,
    appending,
    dispatch,
    graph,
    graph_annealing,
    rank_annealing,
    relinking,
    rule_dispatch,
    rules,
    tabu,
)
from app.core.planning.layout import LONGEST_DAYS
from app.core.planning.packing import Packing, pack
from app.core.planning.rank_arrays import Ranked
from app.core.planning.ranking import planned_order
from app.core.shop import Shop

FIRST_DAYS: Final = 420
FIRST_SIZE: Final = 2


@dataclass(frozen=True, slots=True)
class Engine:
    """The kernels in one form, and how it wants an array made from a list."""

    play: Callable[[a.Packed, a.State], None]
    by_rule: Callable[[a.Packed, a.State, int, int], int]
    decode_list: Callable[[a.Packed, a.State], int]
    anneal: Callable[[a.Packed, a.State, int, int, "list[int]"], None]
    keep_best: Callable[[a.Packed, a.State], None]
    take_order: Callable[[Graph], None]
    begin_search: Callable[[Graph], None]
    search_tabu: Callable[[Graph, int], int]
    relink: Callable[[Graph, "list[int]", int], int]
    begin_annealing: Callable[[a.Packed, Graph], None]
    anneal_graph: Callable[[a.Packed, Graph, int, int, "list[int]"], None]
    play_by_rule: Callable[[a.Packed, a.State, Ranked], None]
    begin_ranks: Callable[[a.Packed, a.State, Ranked], None]
    anneal_ranks: Callable[[a.Packed, a.State, Ranked, int, int, "list[int]"], None]
    array: Callable[[Sequence[int]], "list[int]"]


PLAIN: Final = Engine(
    dispatch.play,
    rules.by_rule,
    appending.decode_list,
    annealing.anneal,
    annealing.keep_best,
    graph.take_order,
    tabu.begin_search,
    tabu.search_tabu,
    relinking.relink,
    graph_annealing.begin_annealing,
    graph_annealing.anneal_graph,
    rule_dispatch.play_by_rule,
    rank_annealing.begin_ranks,
    rank_annealing.anneal_ranks,
    list,
)
"""Plain Python."""


@dataclass(slots=True)
class Decoded:
    """A shop, and its arrays after planning it."""

    packing: Packing
    arrays: a.Shop


def decode(shop: Shop, engine: Engine = PLAIN) -> Decoded:
    """Plan a shop by dispatch, with the ranks that it has."""
    days = FIRST_DAYS
    while True:
        packing = pack(shop, days)
        decoded = decode_packed(packing, planned_order(packing), engine)
        if days == LONGEST_DAYS or not decoded.arrays.state[a.N_TROUBLE] & a.TOO_FEW_SPANS:
            return decoded
        days = min(LONGEST_DAYS, 3 * days)


def decode_packed(packing: Packing, order: Sequence[int], engine: Engine) -> Decoded:
    """Plan a packed shop by dispatch, its operations ranked in an order, with as much room as it takes."""
    return decode_in(packing, order, engine, FIRST_SIZE)


def decode_in(packing: Packing, order: Sequence[int], engine: Engine, size: int) -> Decoded:
    """Plan a packed shop with room for some ``size`` runs an operation, or for more where it takes that."""
    while True:
        arrays = make_arrays(packing, engine, size)
        set_ranks(arrays, order)
        engine.play(arrays.fixed, arrays.state)
        if not arrays.state[a.N_TROUBLE] & a.TOO_FEW_ROWS:
            return Decoded(packing, arrays)
        size *= 4


def make_arrays(packing: Packing, engine: Engine, size: int) -> a.Shop:
    """Return the arrays of a packed shop with room for some ``size`` runs an operation."""
    fixed, length = flatten(packing.tables, size)
    return a.Shop(engine.array(fixed), engine.array([0] * length))


def set_ranks(arrays: a.Shop, order: Sequence[int]) -> None:
    """Rank the operations in an order, the first before all others."""
    fixed, state = arrays
    first, by_rank = int(fixed[a.F_OPS]), int(fixed[a.F_BY_RANK])
    for rank, number in enumerate(order):
        op = first + number * a.OP_COLUMNS
        state[fixed[op + a.O_TASK] + a.X_RANK] = rank
        state[by_rank + rank] = op
