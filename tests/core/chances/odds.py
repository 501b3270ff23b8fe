"""Shops of ``every_rule`` with everything uncertain that can be."""

from dataclasses import replace

from app.core.chances.spreads import lognormal
from app.core.chances.uncertainty import Breakdowns, Odds, RushOrders, Uncertainty
from app.core.shop import Lot, Shop
from app.core.taking import Purchase
from tests.core.planning.every_rule import DAY, HOUR


def everything(shop: Shop) -> Uncertainty:
    """Return an uncertainty with every part of the model switched on."""
    return Uncertainty(
        usual=Odds(scrap=0.04, days_late=(-1, 0, 0, 0, 2, 9)),
        stations={station.key: Breakdowns(40 * HOUR, (HOUR, 5 * HOUR, 2 * DAY)) for station in shop.stations[::2]},
        rush=RushOrders(4 * DAY, tuple(fresh(lot) for lot in shop.lots[:3])),
        together=lognormal(0.1),
    )


def fresh(lot: Lot) -> Lot:
    """Return a lot of which nothing is begun, its blanks in the house."""
    steps = [step for step in lot.operations if not isinstance(step.taking, Purchase)]
    none = {"waiting": 0, "counted": 0, "held": 0, "open_jobs": (), "not_before": None, "rank": None, "components": ()}
    untouched = [replace(step, **none) for step in steps]
    return replace(lot, operations=(replace(untouched[0], waiting=12), *untouched[1:]), hold=None, pinned=None)
