"""Lots and the piece ledger."""

from app.lots.models.hours import HoursCount, StationDay, StationHours
from app.lots.models.ledger import (
    AT_AN_OPERATION,
    OUTSIDE,
    ComponentUse,
    Entry,
    Place,
    Posting,
    Verb,
)
from app.lots.models.lots import (
    Job,
    JobState,
    Lot,
    LotCharacteristic,
    LotComponent,
    LotDelivery,
    LotOperation,
    LotSheet,
    TravelerPrint,
)
from app.lots.models.sendings import Sending

__all__ = [
    "AT_AN_OPERATION",
    "OUTSIDE",
    "ComponentUse",
    "Entry",
    "HoursCount",
    "Job",
    "JobState",
    "Lot",
    "LotCharacteristic",
    "LotComponent",
    "LotDelivery",
    "LotOperation",
    "LotSheet",
    "Place",
    "Posting",
    "Sending",
    "StationDay",
    "StationHours",
    "TravelerPrint",
    "Verb",
]
