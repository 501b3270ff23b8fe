"""Ranks of operations, and what dispatching by them comes to beside another forecast, lot by lot."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from app.core.planning.results import Forecast
from app.core.shop import Lot, Shop

Ranks = Mapping[tuple[str, int], int]
"""The rank of an operation by the key of its lot and its place in it; the lowest goes first."""


def with_ranks(shop: Shop, ranks: Ranks) -> Shop:
    """Return a shop whose operations have these ranks and no others."""
    return replace(shop, lots=tuple(lot_with_ranks(lot, ranks) for lot in shop.lots))


def lot_with_ranks(lot: Lot, ranks: Ranks) -> Lot:
    """Return a lot whose operations have these ranks and no others."""
    places = enumerate(lot.operations)
    return replace(lot, operations=tuple(replace(each, rank=ranks.get((lot.key, index))) for index, each in places))


def ranks_in(shop: Shop) -> dict[tuple[str, int], int]:
    """Return the ranks that the operations of a shop have."""
    return {
        (lot.key, index): operation.rank
        for lot in shop.lots
        for index, operation in enumerate(lot.operations)
        if operation.rank is not None
    }


def ranks_until(shop: Shop, ranks: Ranks, planned: Forecast, until: int) -> dict[tuple[str, int], int]:
    """Return the ranks of what stations begin before a moment, by the forecast that the ranks come to."""
    runs = (run for of_station in planned.stations.values() for run in of_station if run.start < until)
    begun = {(run.lot, run.operation) for run in runs}
    keys = {(lot.key, index): each.key for lot in shop.lots for index, each in enumerate(lot.operations)}
    return {place: rank for place, rank in ranks.items() if (place[0], keys[place]) in begun}


@dataclass(frozen=True, slots=True)
class LotMove:
    """A lot whose finish is another one; ``gain_s`` are the seconds that it is less late (more, below zero).

    A finish is None where the lot cannot be planned to its end.
    """

    lot: str
    before: int | None
    after: int | None
    gain_s: int


def lateness(finish: int | None, due: int | None) -> int:
    """Return the seconds past due; none without a finish or a due date."""
    return 0 if finish is None or due is None else max(0, finish - due)


def lot_moves(shop: Shop, before: Forecast, after: Forecast) -> list[LotMove]:
    """Return the lots of both forecasts whose finish differs, those that gain most first."""
    moves = []
    for lot in shop.lots:
        if lot.key not in before.lots or lot.key not in after.lots:
            continue
        old, new = before.lots[lot.key].finish, after.lots[lot.key].finish
        if old != new:
            moves.append(LotMove(lot.key, old, new, lateness(old, lot.due) - lateness(new, lot.due)))
    return sorted(moves, key=lambda move: (-move.gain_s, (move.after or 0) - (move.before or 0), move.lot))


def weighted_lateness(shop: Shop, forecast: Forecast) -> int:
    """Return the seconds past due of all lots, each by its customer's weight."""
    return sum(
        lot.weight * lateness(forecast.lots[lot.key].finish, lot.due) for lot in shop.lots if lot.key in forecast.lots
    )


def late_together(shop: Shop, forecast: Forecast) -> int:
    """Return the seconds past due of all lots, one customer's like another's."""
    return sum(lateness(forecast.lots[lot.key].finish, lot.due) for lot in shop.lots if lot.key in forecast.lots)


def late_lots(shop: Shop, forecast: Forecast) -> int:
    """Return how many lots finish after they are due."""
    return sum(lateness(forecast.lots[lot.key].finish, lot.due) > 0 for lot in shop.lots if lot.key in forecast.lots)


def worth(shop: Shop, forecast: Forecast) -> tuple[int, int, int, int]:
    """Return what forecasts are compared by, the least being the best: as ``search.value`` does with plans."""
    unplanned = sum(lot.finish is None for lot in forecast.lots.values())
    setup = sum(one.setup_s for lot in forecast.lots.values() for one in lot.operations)
    flow = sum(lot.finish - shop.now for lot in forecast.lots.values() if lot.finish is not None)
    return unplanned, weighted_lateness(shop, forecast), late_lots(shop, forecast), setup + flow
