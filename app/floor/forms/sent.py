"""What every form of a station carries: its key, its age, and the truth that a person confirmed."""

import re
from datetime import datetime, timedelta

from flask import request
from werkzeug.datastructures import MultiDict
from wtforms import FileField, HiddenField, PasswordField
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
    """A form of a station; the part that no person types is read as it came, since it is never shown again."""

    def to_sent(self, station_id: int, now: datetime) -> Sent:
        """Return the circumstances of what was sent.

        Raises:
            BadKeyError: it came without a key.
            BadAgeError: it says that it happened in the future, or more than a week ago.
        """
        key = request.form.get("key", "")
        if not re.fullmatch("[A-Za-z0-9_-]{8,64}", key):
            raise BadKeyError
        return Sent(
            station_id=station_id,
            key=key,
            happened_at=now - _age(),
            received_at=now,
            remedies=_remedies(request.form),
        )


def _age() -> timedelta:
    typed = request.form.get("age", "").strip() or "0"
    if not re.fullmatch("[0-9]{1,9}", typed) or timedelta(seconds=int(typed)) > OLDEST:
        raise BadAgeError
    return timedelta(seconds=int(typed))


def _remedies(sent: MultiDict[str, str]) -> Remedies:
    return Remedies(
        anyway=bool(sent.get("anyway")),
        is_back=bool(sent.get("back")),
        earlier=tuple(sent.getlist("earlier", type=_pair)),
        blanks=tuple(sent.getlist("blanks", type=_three)),
        first_pieces=tuple(sent.getlist("first", type=int)),
        paused=tuple(sent.getlist("pause", type=int)),
    )


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
