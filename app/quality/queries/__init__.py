"""The reads of measuring."""

from app.quality.queries.due import (
    Measured,
    Measuring,
    at_sign_off,
    measured_operation,
    measuring,
    missing_if_done,
    missing_words,
)
from app.quality.queries.gauges import (
    Doubtful,
    TooCoarse,
    all_gauges,
    doubtful_readings,
    gauge_words,
    gauges_of_kind,
    get_gauge,
    too_coarse,
    used,
)
from app.quality.queries.names import (
    bar_percent,
    characteristic_name,
    hold_words,
    nonconformance_name,
    question_words,
    reading_words,
    standing_words,
)
from app.quality.queries.nonconformances import (
    Whereabouts,
    get_nonconformance,
    nonconformances,
    of_lot,
    vendor_choices,
    whereabouts,
)
from app.quality.queries.pieces import Made, made_by_now, made_so_far
from app.quality.queries.readings import characteristic_of, get_reading, last_readings

__all__ = [
    "Doubtful",
    "Made",
    "Measured",
    "Measuring",
    "TooCoarse",
    "Whereabouts",
    "all_gauges",
    "at_sign_off",
    "bar_percent",
    "characteristic_name",
    "characteristic_of",
    "doubtful_readings",
    "gauge_words",
    "gauges_of_kind",
    "get_gauge",
    "get_nonconformance",
    "get_reading",
    "hold_words",
    "last_readings",
    "made_by_now",
    "made_so_far",
    "measured_operation",
    "measuring",
    "missing_if_done",
    "missing_words",
    "nonconformance_name",
    "nonconformances",
    "of_lot",
    "question_words",
    "reading_words",
    "standing_words",
    "too_coarse",
    "used",
    "vendor_choices",
    "whereabouts",
]
