"""The last choice among good plans: by what each comes to on average, all of them on the same luck."""

from collections.abc import Sequence
from dataclasses import replace

from app.core.chances.simulation import Replayer, Simulation, prepare, simulate
from app.core.chances.uncertainty import Uncertainty
from app.core.planning.packing import Packing
from app.core.planning.ranked import Ranks, lot_with_ranks
from app.core.planning.ranking import planned_order
from app.core.shop import Shop


def live_through_plans(
    shop: Shop, uncertainty: Uncertainty, plans: Sequence[Ranks], replayer: Replayer, *, seed: int, replications: int
) -> list[Simulation]:
    """Return what the replications of each plan say; common random numbers, so that only the plans differ."""
    ready = prepare(shop, uncertainty, replayer)
    orders = [order_by(ready.case.packing, ranks) for ranks in plans]
    return [simulate(ready, seed=seed, replications=replications, order=order) for order in orders]


def least_tardy(lived: Sequence[Simulation]) -> int:
    """Return the place of the plan with the least expected weighted tardiness, of equals the first."""
    return min(range(len(lived)), key=lambda place: (lived[place].expected_tardiness, place))


def order_by(packing: Packing, ranks: Ranks) -> list[int]:
    """Return the operations of a packed shop in the order that some ranks give them."""
    ranked = tuple(lot_with_ranks(lot, ranks) for lot in packing.lots)
    return planned_order(replace(packing, lots=ranked))
