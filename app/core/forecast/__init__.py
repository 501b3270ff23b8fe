"""The forecast: a forward finite-capacity schedule of every open lot, and where each lot's time goes."""

from app.core.forecast.obstacles import Figure, Obstacle, ObstacleKind, Status
from app.core.forecast.plan import forecast
from app.core.forecast.results import Cause, Forecast, LotForecast, OperationForecast, Reason, Run

__all__ = [
    "Cause",
    "Figure",
    "Forecast",
    "LotForecast",
    "Obstacle",
    "ObstacleKind",
    "OperationForecast",
    "Reason",
    "Run",
    "Status",
    "forecast",
]
