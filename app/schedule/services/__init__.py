"""The verbs of the schedule: storing a forecast, pinning lots, a better order of work."""

from app.schedule.services.better_order import (
    Ended,
    Standing,
    accept_proposal,
    ask_search,
    drop_ranks,
    end_search,
    leave_order,
    note_search,
    stop_search,
)
from app.schedule.services.chances import store_chances
from app.schedule.services.pins import Place, pin_lot, unpin_lot
from app.schedule.services.questions import answer, ask
from app.schedule.services.remedies import apply_remedy
from app.schedule.services.storing import PLANNER, store_forecast

__all__ = [
    "PLANNER",
    "Ended",
    "Place",
    "Standing",
    "accept_proposal",
    "answer",
    "apply_remedy",
    "ask",
    "ask_search",
    "drop_ranks",
    "end_search",
    "leave_order",
    "note_search",
    "pin_lot",
    "stop_search",
    "store_chances",
    "store_forecast",
    "unpin_lot",
]
