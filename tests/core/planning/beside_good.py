"""A lot that cannot be planned as it is, beside one that can."""

from app.core.plan_check import check
from app.core.planning.forecasts import forecast
from app.core.planning.obstacles import Status
from app.core.planning.results import LotForecast
from app.core.shop import Lot, Station
from tests.core.plan_check.plans import forecast_plan
from tests.core.shops import lot, operation, shop, single, station

MILL, LATHE = station("mill"), station("lathe", "lathe")
GOOD = lot("good", operation("10", single(7), waiting=1))


def forecast_beside_a_good_lot(bad: Lot, *stations: Station) -> LotForecast:
    """Return what becomes of a lot; the good one is planned, and the plan breaks no rule."""
    case = shop(stations or [MILL], bad, GOOD)
    planned = forecast(case).lots
    assert planned["good"].status is Status.PLANNED
    assert check(case, forecast_plan(case)) == ()
    return planned[bad.key]
