"""The shop, its work centers and stations, their hours, what was said of them, and their planned service."""

from app.stations.models.said import Saying, StationChange
from app.stations.models.stations import (
    DAY_SECONDS,
    PASSED_GUESS_LASTS,
    Closure,
    Crew,
    Downtime,
    Overtime,
    ReasonUse,
    Shift,
    Shop,
    Station,
    UsualReason,
    WorkCenter,
    shift_seconds,
    weekday_name,
)
from app.stations.models.upkeep import PlannedService

__all__ = [
    "DAY_SECONDS",
    "PASSED_GUESS_LASTS",
    "Closure",
    "Crew",
    "Downtime",
    "Overtime",
    "PlannedService",
    "ReasonUse",
    "Saying",
    "Shift",
    "Shop",
    "Station",
    "StationChange",
    "UsualReason",
    "WorkCenter",
    "shift_seconds",
    "weekday_name",
]
