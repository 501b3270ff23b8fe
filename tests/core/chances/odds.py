"""Shops to live through, and shops of ``every_rule`` with everything uncertain that can be."""

from dataclasses import replace

from app.core.chances.kernels.generator import ONE
from app.core.chances.spreads import Spread, lognormal
from app.core.chances.uncertainty import Breakdowns, NewOrders, Odds, Uncertainty
from app.core.shop import Lot, Shop
from app.core.taking import Purchase
from tests.core.planning.every_rule import DAY, HOUR
from tests.core.shops import lot, operation, shop, single, station

DOUBLE = Spread((2 * ONE,))
HALF_OR_DOUBLE = Spread((ONE // 2, 2 * ONE))


def everything(given: Shop) -> Uncertainty:
    """Return an uncertainty with every part of the model switched on."""
    return Uncertainty(
        usual=Odds(scrap=0.04, days_late=(-1, 0, 0, 0, 2, 9)),
        stations={each.key: Breakdowns(40 * HOUR, (HOUR, 5 * HOUR, 2 * DAY)) for each in given.stations[::2]},
        orders=NewOrders(4 * DAY, tuple(fresh(each) for each in given.lots[:3])),
        together=lognormal(0.1),
    )


def fresh(like: Lot) -> Lot:
    """Return a lot of which nothing is begun, its blanks in the house."""
    steps = [step for step in like.operations if not isinstance(step.taking, Purchase)]
    none = {"waiting": 0, "counted": 0, "held": 0, "open_jobs": (), "not_before": None, "rank": None, "components": ()}
    untouched = [replace(step, **none) for step in steps]
    return replace(like, operations=(replace(untouched[0], waiting=12), *untouched[1:]), hold=None, pinned=None)


def one_lot(**more: object) -> Shop:
    """Return ten pieces of ten minutes at a station, then five minutes each at another."""
    steps = (
        operation("10", single(10), waiting=10, setup=30, family="A"),
        operation("20", single(5), "lathe", setup=30, family="B"),
    )
    return shop([station("M"), station("L", "lathe")], lot("1", *steps, **more))
