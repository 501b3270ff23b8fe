"""What is typed about the shop, its stations and their hours."""

from app.stations.forms.closures import ClosedDaysForm, HolidaysForm
from app.stations.forms.crews import CrewForm
from app.stations.forms.hours import CopyHoursForm, HoursForm
from app.stations.forms.reasons import ReasonForm
from app.stations.forms.shop import SettingsForm, SetupForm
from app.stations.forms.stations import StationForm, WorkCenterForm, over_closed_words
from app.stations.forms.stretches import DowntimeForm, OvertimeForm

__all__ = [
    "ClosedDaysForm",
    "CopyHoursForm",
    "CrewForm",
    "DowntimeForm",
    "HolidaysForm",
    "HoursForm",
    "OvertimeForm",
    "ReasonForm",
    "SettingsForm",
    "SetupForm",
    "StationForm",
    "WorkCenterForm",
    "over_closed_words",
]
