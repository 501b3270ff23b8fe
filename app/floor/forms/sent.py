"""What every form of a station carries: its key, its age, and the truth that a person confirmed."""

import re
from datetime import datetime, timedelta

from wtforms import BooleanField, FileField, HiddenField, PasswordField, SelectMultipleField
from wtforms.validators import InputRequired

from app.floor.errors import BadAgeError, BadKeyError
from app.floor.services import Remedies, Sent
from app.shared.fields import LineField
from app.shared.web import Form
from app.shared.words import lazy_gettext as _

OLDEST = timedelta(days=7)


def _pair(value: str) -> tuple[int, int]:
    first, second = str(value).split(":")
    return int(first), int(second)


def _three(value: str) -> tuple[int, int, int]:
    first, second, third = str(value).split(":")
    return int(first), int(second), int(third)


class SentForm(Form):
    """The part of a form that no person types."""

    key = HiddenField()
    age = HiddenField()
    anyway = BooleanField()
    back = BooleanField()
    earlier = SelectMultipleField(coerce=_pair, validate_choice=False)
    blanks = SelectMultipleField(coerce=_three, validate_choice=False)
    first = SelectMultipleField(coerce=int, validate_choice=False)
    pause = SelectMultipleField(coerce=int, validate_choice=False)

    def to_sent(self, station_id: int, now: datetime) -> Sent:
        """Return the circumstances of what was sent.

        Raises:
            BadKeyError: it came without a key.
            BadAgeError: it says that it happened in the future, or more than a week ago.
        """
        key = self.key.data or ""
        if not re.fullmatch("[A-Za-z0-9_-]{8,64}", key):
            raise BadKeyError
        return Sent(
            station_id=station_id,
            key=key,
            happened_at=now - self._age(),
            received_at=now,
            remedies=Remedies(
                anyway=bool(self.anyway.data),
                is_back=bool(self.back.data),
                earlier=tuple(self.earlier.data or ()),
                blanks=tuple(self.blanks.data or ()),
                first_pieces=tuple(self.first.data or ()),
                paused=tuple(self.pause.data or ()),
            ),
        )

    def _age(self) -> timedelta:
        typed = (self.age.data or "0").strip()
        if not re.fullmatch("[0-9]{1,9}", typed) or timedelta(seconds=int(typed)) > OLDEST:
            raise BadAgeError
        return timedelta(seconds=int(typed))


class ScanForm(SentForm):
    """A code that was scanned, or typed by hand."""

    code = LineField(_("Code"), [InputRequired(_("Scan or type a code."))])


class PinForm(SentForm):
    """A badge and the PIN that goes with it."""

    badge = HiddenField()
    then = HiddenField()
    pin = PasswordField(_("PIN"), [InputRequired(_("Type your PIN."))])


class PhotoForm(SentForm):
    """A photo of a code."""

    photo = FileField(_("Photo of the code"))
