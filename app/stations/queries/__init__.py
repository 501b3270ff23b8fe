"""The reads of the stations area."""

from app.stations.queries.closures import closed_days, closures_between
from app.stations.queries.holidays import Holiday, countries, offered_days, state_code, states
from app.stations.queries.reasons import all_reasons, usual_reasons
from app.stations.queries.shop import ONLY_ROW, find_shop, shop, shop_zone, time_zones
from app.stations.queries.stations import (
    all_stations,
    down_now,
    downtimes_at,
    first_overlap,
    get_downtime,
    get_overtime,
    get_station,
    get_work_center,
    next_station_number,
    recent_downtimes,
    recent_overtimes,
    station_by_number,
    stations_in,
    stations_with_hours,
    work_centers,
)

__all__ = [
    "ONLY_ROW",
    "Holiday",
    "all_reasons",
    "all_stations",
    "closed_days",
    "closures_between",
    "countries",
    "down_now",
    "downtimes_at",
    "find_shop",
    "first_overlap",
    "get_downtime",
    "get_overtime",
    "get_station",
    "get_work_center",
    "next_station_number",
    "offered_days",
    "recent_downtimes",
    "recent_overtimes",
    "shop",
    "shop_zone",
    "state_code",
    "states",
    "station_by_number",
    "stations_in",
    "stations_with_hours",
    "time_zones",
    "usual_reasons",
    "work_centers",
]
