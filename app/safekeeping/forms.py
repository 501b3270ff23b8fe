"""What an owner types about paper files and backups."""

from typing import Any

from wtforms import BooleanField, SelectMultipleField, StringField
from wtforms.validators import InputRequired, Length, Optional
from wtforms.widgets import CheckboxInput, ListWidget

from app.safekeeping.models import Kept, Safekeeping
from app.safekeeping.services import Wanted
from app.shared.fields import WholeNumberField
from app.shared.moment_field import ClockField
from app.shared.web import Form
from app.shared.words import lazy_gettext as _l
from app.stations.models import weekday_name


def _stripped(typed: str | None) -> str:
    return (typed or "").strip()


class FolderForm(Form):
    """Where one of the two goes."""

    folder = StringField(
        _l("Folder"),
        [Optional(), Length(max=400, message=_l("Use 400 characters or fewer."))],
        filters=[_stripped],
        render_kw={"autocomplete": "off", "spellcheck": "false"},
    )


class PaperForm(FolderForm):
    """The paper files: folder, times of day, days."""

    time_1 = ClockField(_l("First time"), [Optional()])
    time_2 = ClockField(_l("Second time"), [Optional()])
    time_3 = ClockField(_l("Third time"), [Optional()])
    time_4 = ClockField(_l("Fourth time"), [Optional()])
    weekdays = SelectMultipleField(
        _l("Days"), coerce=int, option_widget=CheckboxInput(), widget=ListWidget(prefix_label=False)
    )
    on_closed_days = BooleanField(_l("Also on the shop's closed days"))

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self.weekdays.choices = [(day, weekday_name(day)) for day in range(7)]

    @classmethod
    def showing(cls, row: Safekeeping) -> "PaperForm":
        """Return the form with what is stored."""
        kept = {"folder": row.folder, "weekdays": row.weekdays, "on_closed_days": row.on_closed_days}
        times = {f"time_{place}": at for place, at in enumerate(row.clock_times, start=1)}
        return cls(data={**kept, **times}, formdata=None, prefix="paper-")

    @property
    def times(self) -> list[ClockField]:
        """Return the fields of its times of day."""
        return [self.time_1, self.time_2, self.time_3, self.time_4]

    def to_wanted(self) -> Wanted:
        """Hand the service typed values; call only after ``validate()``."""
        return Wanted(
            Kept.PAPER,
            self.folder.data or "",
            tuple(field.data for field in self.times if field.data is not None),
            tuple(self.weekdays.data or ()),
            on_closed_days=bool(self.on_closed_days.data),
        )


class BackupForm(FolderForm):
    """The daily backup: folder, time of day, how many stay."""

    time_1 = ClockField(_l("Time of day"), [InputRequired(_l("Enter a time of day, such as 18:30."))])
    most_kept = WholeNumberField(
        _l("How many to keep"), [InputRequired(_l("Enter a number, such as 14."))], least=1, most=400
    )

    @classmethod
    def showing(cls, row: Safekeeping) -> "BackupForm":
        """Return the form with what is stored."""
        kept = {"folder": row.folder, "time_1": row.clock_times[0], "most_kept": row.most_kept}
        return cls(data=kept, formdata=None, prefix="backup-")

    def to_wanted(self) -> Wanted:
        """Hand the service typed values; call only after ``validate()``."""
        times = (self.time_1.data,) if self.time_1.data is not None else ()
        return Wanted(Kept.BACKUP, self.folder.data or "", times, most_kept=self.most_kept.data or 1)
