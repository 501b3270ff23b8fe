"""The forecast: a forward finite-capacity schedule of every open lot, and where each lot's time goes."""

from app.core.forecast.plan import forecast
from app.core.forecast.results import Cause, Forecast, LotForecast, OperationForecast, Reason, Run, Status

__all__ = ["Cause", "Forecast", "LotForecast", "OperationForecast", "Reason", "Run", "Status", "forecast"]
