"""What people ask the schedule: a lot's place, and a promise for an order that is being typed."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from wtforms import Field
from wtforms.fields import SelectMultipleField, StringField
from wtforms.validators import AnyOf, ValidationError

from app.schedule.queries import Asked
from app.schedule.services import Place
from app.shared.fields import typed_day
from app.shared.typed import whole_number
from app.shared.web import Form
from app.shared.words import gettext, lazy_gettext

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
