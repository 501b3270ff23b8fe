"""Pages of the stations area."""

from app.stations.views import closures, crews, downtimes, hours, overtimes, reasons, shop, stations, work_centers
from app.stations.views.blueprint import bp
from app.stations.views.shop import know_the_shop

__all__ = [
    "bp",
    "closures",
    "crews",
    "downtimes",
    "hours",
    "know_the_shop",
    "overtimes",
    "reasons",
    "shop",
    "stations",
    "work_centers",
]
