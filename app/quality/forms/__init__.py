"""What is typed about gauges, calibrations and dispositions."""

from app.quality.forms.charts import ChartForm, SwitchesForm, rule_words
from app.quality.forms.dispositions import DispositionForm
from app.quality.forms.found_later import FoundLaterForm
from app.quality.forms.gauges import CalibrationForm, GaugeForm
from app.quality.forms.sampling import SamplingForm
from app.quality.forms.studies import StudyForm

__all__ = [
    "CalibrationForm",
    "ChartForm",
    "DispositionForm",
    "FoundLaterForm",
    "GaugeForm",
    "SamplingForm",
    "StudyForm",
    "SwitchesForm",
    "rule_words",
]
