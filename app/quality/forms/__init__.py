"""What is typed about gauges, calibrations and dispositions."""

from app.quality.forms.dispositions import DispositionForm
from app.quality.forms.gauges import CalibrationForm, GaugeForm

__all__ = ["CalibrationForm", "DispositionForm", "GaugeForm"]
