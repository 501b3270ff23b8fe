"""The stored forecast, pins, and the search for a better order of work."""

from app.schedule.models.better_order import AcceptedPlan, OperationRank, OrderSearch, Proposal, Stage
from app.schedule.models.forecast import (
    Forecast,
    LotForecast,
    Outlook,
    PinChange,
    PlannedRun,
    ServiceForecast,
    StationForecast,
)

__all__ = [
    "AcceptedPlan",
    "Forecast",
    "LotForecast",
    "OperationRank",
    "OrderSearch",
    "Outlook",
    "PinChange",
    "PlannedRun",
    "Proposal",
    "ServiceForecast",
    "Stage",
    "StationForecast",
]
