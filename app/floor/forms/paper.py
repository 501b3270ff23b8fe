"""Rows of a traveler, or of a station's shift, as they were written by pen."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, time, timedelta
from typing import Any

import wtforms
from wtforms import BooleanField, DateField, FieldList, FormField, HiddenField, SelectField
from wtforms.validators import Length

from app.floor.queries import PaperOperation
from app.floor.services import WrittenRow
from app.shared.errors import Problem
from app.shared.fields import LineField, LinesField, MayBeBlank, WholeNumberField
from app.shared.moment_field import ClockField, typed_moment
from app.shared.rows import put_problem
from app.shared.web import KeyedForm
from app.shared.words import gettext
from app.shared.words import lazy_gettext as _
from app.stations.models import Station

MOST_ROWS = 60
ROWS_OF_A_SHIFT = 6
MORE_AT_ONCE = 3
LONGEST_OVER_MIDNIGHT = timedelta(hours=16)
"""Begun at a later time of day than done: on the evening before, if it is not longer ago than this."""
LONGEST_REASON = 200


class RowFields(wtforms.Form):
    """One row. A row in which nothing but what was filled in beforehand stands is left out."""

    operation = SelectField(_("Operation"), coerce=int, validate_choice=False, default=0)
    code = LineField(_("Lot or operation code"), [Length(max=40)])
    expected = HiddenField()
    day = DateField(_("Day it was done"), [MayBeBlank()])
    begun = ClockField(_("Begun"), [MayBeBlank()])
    done = ClockField(_("Done"), [MayBeBlank()])
    initials = LineField(_("Initials"), [Length(max=4, message=_("Initials have at most 4 letters."))])
    good = WholeNumberField(_("Good"), [MayBeBlank()])
    scrap = WholeNumberField(_("Scrap"), [MayBeBlank()])
    reason = LineField(_("Why scrap"), [Length(max=LONGEST_REASON, message=_("Use 200 characters or fewer."))])
    station = SelectField(_("Station"), coerce=int, validate_choice=False, default=0)
    first_piece = BooleanField(_("First piece was good"))
    components = LineField(_("Components from"), [Length(max=LONGEST_REASON)])
    readings = LinesField(_("Readings"), [Length(max=4000)], render_kw={"rows": 4, "spellcheck": "false"})
    all_checked = BooleanField(_("All pieces were checked"))
    inspector = LineField(_("Inspector who let it go on without them"), [Length(max=4)])
    why = LineField(_("Why"), [Length(max=LONGEST_REASON, message=_("Use 200 characters or fewer."))])
    begun_at: datetime | None = None
    done_at: datetime | None = None

    @property
    def used(self) -> bool:
        """Say whether anything was written into it."""
        typed: list[wtforms.Field] = [
            self.code,
            self.day,
            self.begun,
            self.done,
            self.initials,
            self.scrap,
            self.reason,
        ]
        typed += [self.components, self.readings, self.inspector, self.why]
        sent = any(_sent(field) for field in typed)
        good = str((self.good.raw_data or [""])[0]).strip()
        return sent or bool(self.first_piece.data or self.all_checked.data) or good != (self.expected.data or "")

    def wrong(self, name: str, sentence: str) -> None:
        """Show what is wrong beside a field, unless the field has a message already."""
        field = self[name]
        if not field.errors:
            field.errors = [sentence]

    def check(self) -> None:
        """Check what only the whole row can tell."""
        if self.day.data is None:
            self.wrong("day", gettext("Type the day; rows below take it over."))
        if not self.initials.data:
            self.wrong("initials", gettext("Type the initials; rows below take them over."))
        if self.begun.data is None and self.done.data is None:
            self.wrong("done", gettext("Type when it was done."))
        if self.done.data is None and self.begun.data is not None and (self._changed_good or self.scrap.data):
            self.wrong("done", gettext("Type when it was done, or leave good and scrap out."))
        if self.done.data is not None and self.good.data is None and not self.scrap.data:
            self.wrong("good", gettext("Type how many pieces are good; 0 for none."))
        self.done_at = self._moment("done", self.day.data, self.done.data)
        self.begun_at = self._moment("begun", self._day_begun(), self.begun.data)

    @property
    def _changed_good(self) -> bool:
        return bool(self.good.data) and str(self.good.data) != (self.expected.data or "")

    def _day_begun(self) -> date | None:
        """Return the day of the beginning: the one before where the work went over midnight."""
        day, begun, done = self.day.data, self.begun.data, self.done.data
        if day and begun and done and done < begun:
            before = datetime.combine(day - timedelta(days=1), begun)
            if datetime.combine(day, done) - before <= LONGEST_OVER_MIDNIGHT:
                return before.date()
        return day

    def _moment(self, name: str, day: date | None, clock: time | None) -> datetime | None:
        if day is None or clock is None or self[name].errors:
            return None
        try:
            return typed_moment(f"{day.isoformat()}T{clock:%H:%M}")
        except ValueError as error:
            self.wrong(name, str(error))
            return None

    def to_input(self, place: str) -> WrittenRow:
        """Hand the service typed values; call only after ``check()`` found nothing."""
        is_done = self.done_at is not None
        return WrittenRow(
            place=place,
            operation_id=self.operation.data or None,
            code=self.code.data or "",
            initials=self.initials.data or "",
            begun_at=self.begun_at,
            done_at=self.done_at,
            good=(self.good.data or 0) if is_done else 0,
            scrap=(self.scrap.data or 0) if is_done else 0,
            reason=self.reason.data or "",
            station_id=self.station.data or None,
            first_piece=bool(self.first_piece.data),
            components=self.components.data or "",
            readings=self.readings.data or "",
            all_checked=bool(self.all_checked.data),
            inspector=self.inspector.data or "",
            why=self.why.data or "",
        )


class PaperForm(KeyedForm):
    """The rows of one sheet of paper; a day or initials left out are those of the row above."""

    rows = FieldList(FormField(RowFields), max_entries=MOST_ROWS)

    @classmethod
    def of_lot(cls, operations: Sequence[PaperOperation]) -> "PaperForm":
        """Return the form as a traveler is first asked for: a row for each operation that has pieces to come."""
        coming = [each for each in operations if each.expected]
        return cls(formdata=None, data={"rows": [_row_of(each) for each in coming or operations[:1]]})

    @classmethod
    def of_shift(cls) -> "PaperForm":
        """Return the form as a station's shift is first asked for."""
        return cls(formdata=None, data={"rows": [{} for _row in range(ROWS_OF_A_SHIFT)]})

    def offer(self, operations: Sequence[PaperOperation]) -> None:
        """Let each row name one of a lot's operations, and the stations that can do them."""
        stations = {each.id: each.name for one in operations for each in one.stations}
        for row in self.rows:
            row.form.operation.choices = [(each.id, each.label) for each in operations]
            row.form.station.choices = [(0, _("not written down")), *stations.items()]

    def add_rows(self) -> str:
        """Add rows like the last one; return the id of the field to type in next, empty where there is no room."""
        if len(self.rows) >= MOST_ROWS:
            self.form_errors.append(
                gettext("There is room for %(most)s rows here. Keep these, then enter the others.", most=MOST_ROWS)
            )
            return ""
        last = self.rows[-1].form if len(self.rows) else None
        data = {"operation": last.operation.data, "station": last.station.data} if last else {}
        added = [self.rows.append_entry(data) for _row in range(min(MORE_AT_ONCE, MOST_ROWS - len(self.rows)))]
        return str(added[0].form.begun.id)

    def written(self) -> list[RowFields]:
        """Return the rows in which something was written."""
        forms = [row.form for row in self.rows]
        return [form for form in forms if isinstance(form, RowFields) and form.used]

    def validate(self, *args: Any, **options: Any) -> bool:
        """Check the fields, take days and initials over from the row above, and check each row as a whole."""
        self._take_over()
        super().validate(*args, **options)
        for row in self.written():
            row.check()
        return not any(field.errors for row in self.written() for field in row)

    def _take_over(self) -> None:
        day: date | None = None
        initials = ""
        for row in self.written():
            day = row.day.data = row.day.data or (None if _sent(row.day) else day)
            initials = row.initials.data = row.initials.data or initials

    def to_input(self) -> list[WrittenRow]:
        """Hand the service typed values; call only after ``validate()``."""
        return [row.form.to_input(row.name) for row in self.rows if row.form.used]

    def put_problem(self, problem: Problem) -> None:
        """Show what a service found beside the field it is about."""
        put_problem(self, problem)

    def wrong_cells(self) -> Iterable[tuple[int, wtforms.Field]]:
        """Give number of the row and field of everything that is wrong."""
        for number, row in enumerate(self.rows, start=1):
            yield from ((number, field) for field in row.form if field.errors)


def _sent(field: wtforms.Field) -> bool:
    return bool(str((field.raw_data or [""])[0]).strip())


def _row_of(operation: PaperOperation) -> dict[str, Any]:
    return {
        "operation": operation.id,
        "station": operation.station_id or 0,
        "expected": str(operation.expected),
        "good": operation.expected,
    }


def offer_station(form: PaperForm, station: Station) -> None:
    """Put the station into every row of its shift."""
    for row in form.rows:
        row.form.station.choices = [(station.id, station.name)]
        row.form.station.data = station.id
