"""The verbs of measuring."""

from app.quality.services.checks import refuse_undone_decision, refuse_unmeasured
from app.quality.services.dispositions import NewDisposition, dispose
from app.quality.services.found_later import FoundLater, pieces_left, report_found_later
from app.quality.services.from_paper import PaperReadings, keep_paper_readings
from app.quality.services.gauges import (
    NewCalibration,
    NewGauge,
    add_gauge,
    change_gauge,
    delete_gauge,
    record_calibration,
)
from app.quality.services.reading_values import NewReading
from app.quality.services.readings import (
    MAY_DECIDE,
    MAY_WAIVE,
    Recorded,
    record_reading,
    refuse_run,
    say_all_checked,
    strike_reading,
    waive_readings,
)
from app.quality.services.studies import NewStudy, record_study
from app.quality.services.suspects import split_suspects
from app.quality.services.switches import Switched, change_switches

__all__ = [
    "MAY_DECIDE",
    "MAY_WAIVE",
    "FoundLater",
    "NewCalibration",
    "NewDisposition",
    "NewGauge",
    "NewReading",
    "NewStudy",
    "PaperReadings",
    "Recorded",
    "Switched",
    "add_gauge",
    "change_gauge",
    "change_switches",
    "delete_gauge",
    "dispose",
    "keep_paper_readings",
    "pieces_left",
    "record_calibration",
    "record_reading",
    "record_study",
    "refuse_run",
    "refuse_undone_decision",
    "refuse_unmeasured",
    "report_found_later",
    "say_all_checked",
    "split_suspects",
    "strike_reading",
    "waive_readings",
]
