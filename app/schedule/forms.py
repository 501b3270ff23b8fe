"""What people ask the schedule: a lot's place, and a promise for an order that is being typed."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from wtforms import Field
from wtforms.fields import RadioField, SelectField, SelectMultipleField, StringField
from wtforms.validators import AnyOf, Optional, ValidationError

from app.schedule.models import WhatIf
from app.schedule.queries import Asked
from app.schedule.services import Place
from app.shared.fields import DayField, LineField, MayBeBlank, WholeNumberField, typed_day
from app.shared.moment_field import MomentField
from app.shared.typed import whole_number
from app.shared.web import Form
from app.shared.words import gettext, lazy_gettext, local
from app.stations.models import Crew, Station

MOST_PIECES = 1_000_000
_TARGET = re.compile(r"[A-Za-z][A-Za-z0-9_-]{0,63}")


class PinForm(Form):
    """Where among the pinned lots a lot goes."""

    place = StringField(lazy_gettext("Place"), [AnyOf([place.value for place in Place])])

    def to_input(self) -> Place:
        """Return the place; call only after ``validate()``."""
        return Place(self.place.data or "")


class AcceptForm(Form):
    """Accept a proposal, which is told by when it was made: all of it, or at the ticked stations."""

    made_at = StringField(lazy_gettext("Proposal"))
    everything = StringField(lazy_gettext("All"))
    stations = SelectMultipleField(lazy_gettext("Stations"), coerce=int, validate_choice=False)

    def validate_made_at(self, field: Field) -> None:
        """Refuse what is no moment."""
        try:
            datetime.fromisoformat(field.data or "")
        except ValueError as error:
            raise ValidationError(gettext("Use the buttons of the page.")) from error

    def to_input(self) -> tuple[datetime, set[int] | None]:
        """Return when the proposal was made, and the chosen stations; call only after ``validate()``."""
        return datetime.fromisoformat(self.made_at.data or ""), None if self.everything.data else set(
            self.stations.data or ()
        )


class WhatIfForm(Form):
    """What could be different: only the fields of the chosen change are read."""

    change = RadioField(
        lazy_gettext("What if"),
        choices=lambda: [
            (WhatIf.DOWN.value, gettext("a station were down")),
            (WhatIf.CLOSED.value, gettext("the shop were closed on a day")),
            (WhatIf.PERSON.value, gettext("one person were missing")),
            (WhatIf.RUSH.value, gettext("a rush order came")),
        ],
        default=WhatIf.DOWN.value,
    )
    station = SelectField(lazy_gettext("Station"), [Optional()], coerce=int)
    until = MomentField(lazy_gettext("Down from now until"), [MayBeBlank()])
    day = DayField(lazy_gettext("Closed on"), [MayBeBlank()])
    whom = RadioField(
        lazy_gettext("Who is missing"),
        choices=lambda: [("setter", gettext("one who sets up")), ("tender", gettext("one who loads and tends"))],
        default="setter",
    )
    crew = SelectField(lazy_gettext("In which shift"), [Optional()])
    part = LineField(lazy_gettext("Part number"), [MayBeBlank()], render_kw={"autocomplete": "off"})
    quantity = WholeNumberField(lazy_gettext("Quantity"), [MayBeBlank()], least=1, most=MOST_PIECES)
    due = DayField(lazy_gettext("It must leave on"), [Optional()])

    def __init__(
        self,
        stations: Sequence[Station],
        crews: Sequence[Crew],
        revision_of: Callable[[str], int | None],
        now: datetime,
        **options: Any,
    ) -> None:
        super().__init__(**options)
        self._names = {each.id: each.name for each in stations}
        self.station.choices = list(self._names.items())
        self.crew.choices = [("", gettext("every shift")), *((each.name, each.name) for each in crews)]
        self._revision_of, self._now, self._crews = revision_of, now, crews

    def validate(self, extra_validators: Any = None) -> bool:
        """Ask for what the chosen change needs."""
        sound = super().validate(extra_validators)
        missing = self._missing()
        if missing is not None and not missing[0].errors:
            missing[0].errors = [missing[1]]
        return sound and missing is None

    def _missing(self) -> tuple[Field, str] | None:
        found: tuple[Field, str] | None = None
        if self.change.data == WhatIf.DOWN and (self.until.data is None or self.until.data <= self._now):
            found = self.until, gettext("Enter until when it is down, after now.")
        elif self.change.data == WhatIf.CLOSED and (self.day.data is None or self.day.data < local(self._now).date()):
            found = self.day, gettext("Enter the day, today or later.")
        elif self.change.data == WhatIf.PERSON and not self._somebody():
            found = self.crew, gettext("Nobody does that there: choose another shift or the other work.")
        elif self.change.data == WhatIf.RUSH and self._revision_of(self.part.data or "") is None:
            found = self.part, gettext("Enter the number of a part that has a current revision.")
        elif self.change.data == WhatIf.RUSH and self.quantity.data is None:
            found = self.quantity, gettext("Enter how many pieces.")
        elif self.change.data == WhatIf.RUSH and self.due.data and self.due.data < local(self._now).date():
            found = self.due, gettext("Enter a day from today on, or none.")
        return found

    def _somebody(self) -> bool:
        """Tell whether there is one who could be missing; before any shift names its people the planner says so."""
        kind = "setters" if self.whom.data == "setter" else "tenders"
        chosen = [each for each in self._crews if self.crew.data in {"", None, each.name}]
        return not self._crews or any(getattr(each, kind) > 0 for each in chosen)

    def refill(self, asked: Mapping[str, Any]) -> None:
        """Fill in what was asked of the planner, so that it can be put another way."""
        until, day, due = asked["until"], asked["day"], asked["due"]
        self.change.data, self.station.data = asked["change"], asked["station_id"]
        self.until.data = datetime.fromtimestamp(until, UTC) if until else None
        self.day.data = date.fromisoformat(day) if day else None
        self.whom.data, self.crew.data = "setter" if asked["setter"] else "tender", asked["crew"]
        self.part.data, self.quantity.data = asked["part"], asked["quantity"]
        self.due.data = date.fromisoformat(due) if due else None

    def to_input(self) -> dict[str, Any]:
        """Return what to ask the planner; call only after ``validate()``."""
        until, day, due = self.until.data, self.day.data, self.due.data
        return {
            "change": self.change.data,
            "station_id": self.station.data,
            "station": self._names.get(self.station.data, ""),
            "until": int(until.timestamp()) if until else None,
            "day": day.isoformat() if day else None,
            "setter": self.whom.data == "setter",
            "crew": self.crew.data or "",
            "part": self.part.data or "",
            "revision_id": self._revision_of(self.part.data or ""),
            "quantity": self.quantity.data,
            "due": due.isoformat() if due else None,
        }


@dataclass(frozen=True, slots=True)
class PromiseQuestion:
    """What the order form asks while somebody types; ``problem`` says what is missing, and then nothing is asked.

    ``target`` is the id of the element that shows the answer.
    """

    target: str
    asked: Asked | None
    problem: str = ""

    @classmethod
    def from_arguments(cls, sent: Mapping[str, str]) -> "PromiseQuestion":
        """Read ``revision_id``, ``quantity``, ``due`` (may be missing) and ``target``."""
        target = target_of(sent.get("target", ""))
        try:
            return cls(target, _asked(sent))
        except ValueError as error:
            return cls(target, None, str(error))


def target_of(given: str) -> str:
    """Return the id of the element that shows an answer; what is none becomes the usual one."""
    return given if _TARGET.fullmatch(given) else "promise"


def _asked(sent: Mapping[str, str]) -> Asked:
    """Return what is asked.

    Raises:
        ValueError: something is missing or makes no sense; the message says what to type.
    """
    revision = sent.get("revision_id", "")
    if not re.fullmatch("[0-9]{1,9}", revision):
        raise ValueError(gettext("Choose a part and revision to see when it could be finished."))
    if not sent.get("quantity", "").strip():
        raise ValueError(gettext("Type the quantity to see when it could be finished."))
    quantity = whole_number(sent["quantity"], least=1, most=MOST_PIECES)
    due: date | None = typed_day(sent["due"]) if sent.get("due", "").strip() else None
    return Asked(int(revision), quantity, due)
