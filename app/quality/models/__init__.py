"""Gauges, readings and nonconformances."""

from app.quality.models.gauges import Calibration, Condition, Gauge, WhenOverdue
from app.quality.models.nonconformances import Disposition, Nonconformance, Outcome
from app.quality.models.readings import AllChecked, Reading, Waiver
from app.quality.models.studies import GaugeStudy

__all__ = [
    "AllChecked",
    "Calibration",
    "Condition",
    "Disposition",
    "Gauge",
    "GaugeStudy",
    "Nonconformance",
    "Outcome",
    "Reading",
    "Waiver",
    "WhenOverdue",
]
