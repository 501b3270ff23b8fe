"""Gauges, readings and nonconformances."""

from app.quality.models.gauges import Calibration, Condition, Gauge, WhenOverdue
from app.quality.models.nonconformances import Disposition, Nonconformance, Outcome
from app.quality.models.readings import AllChecked, Reading, Waiver

__all__ = [
    "AllChecked",
    "Calibration",
    "Condition",
    "Disposition",
    "Gauge",
    "Nonconformance",
    "Outcome",
    "Reading",
    "Waiver",
    "WhenOverdue",
]
