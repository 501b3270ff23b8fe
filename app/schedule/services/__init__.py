"""The verbs of the schedule: storing a forecast, holding the planner's lease, pinning lots."""

from app.schedule.services.lease import STALE_AFTER, give_up_lease, hold_lease
from app.schedule.services.pins import Place, pin_lot, unpin_lot
from app.schedule.services.storing import store_forecast

__all__ = ["STALE_AFTER", "Place", "give_up_lease", "hold_lease", "pin_lot", "store_forecast", "unpin_lot"]
