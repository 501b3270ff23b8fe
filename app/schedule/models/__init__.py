"""The stored forecast, pins, chances, and the search for a better order of work."""

from app.schedule.models.better_order import AcceptedPlan, CameTo, OperationRank, OrderSearch, Proposal, Stage
from app.schedule.models.chances import ChanceRun, LotChance
from app.schedule.models.forecast import (
    Forecast,
    LotForecast,
    Outlook,
    PinChange,
    PlannedRun,
    ServiceForecast,
    StationForecast,
)
from app.schedule.models.questions import Question, QuestionKind, WhatIf

__all__ = [
    "AcceptedPlan",
    "CameTo",
    "ChanceRun",
    "Forecast",
    "LotChance",
    "LotForecast",
    "OperationRank",
    "OrderSearch",
    "Outlook",
    "PinChange",
    "PlannedRun",
    "Proposal",
    "Question",
    "QuestionKind",
    "ServiceForecast",
    "Stage",
    "StationForecast",
    "WhatIf",
]
