"""The verbs of the schedule: storing a forecast, pinning lots."""

from app.schedule.services.pins import Place, pin_lot, unpin_lot
from app.schedule.services.storing import PLANNER, store_forecast

__all__ = ["PLANNER", "Place", "pin_lot", "store_forecast", "unpin_lot"]
