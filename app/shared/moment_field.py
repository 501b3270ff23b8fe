"""Form fields for times on the shop's wall clock: a day and time, and a time of day."""

import re
from datetime import UTC, datetime, time
from typing import Any

from wtforms.fields import DateTimeLocalField, TimeField

from app.shared.fields import EARLIEST_DAY, LATEST_DAY
from app.shared.words import gettext, local, shown_zone

_CLOCK = re.compile(r"([01]?[0-9]|2[0-3]):([0-5][0-9])(?::00)?")


class MomentField(DateTimeLocalField):
    """A day and time typed on the shop's wall clock; ``data`` is the same moment in UTC.

    A time that the clock passes twice in autumn is the first of the two.
    """

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Read the moment.

        Raises:
            ValueError: it is no day and time, too far from the present to be meant, or skipped by the clock in spring.
        """
        if not valuelist:
            return
        self.data = None
        self.data = typed_moment(str(valuelist[0]))

    def _value(self) -> str:
        if self.raw_data:
            return str(self.raw_data[0])
        return "" if self.data is None else f"{local(self.data):%Y-%m-%dT%H:%M}"


class ClockField(TimeField):
    """A time of day on the shop's wall clock, to the minute."""

    def process_formdata(self, valuelist: list[Any]) -> None:
        """Read the time.

        Raises:
            ValueError: it is no time of day.
        """
        if not valuelist:
            return
        self.data = None
        typed = str(valuelist[0]).strip()
        match = _CLOCK.fullmatch(typed)
        if typed and not match:
            raise ValueError(gettext("Enter a time of day from 00:00 to 23:59, such as 06:30."))
        self.data = time(int(match[1]), int(match[2])) if match else None


def typed_moment(typed: str) -> datetime:
    """Return the moment that ``typed`` says on the shop's wall clock as year-month-dayThour:minute, in UTC.

    Raises:
        ValueError: it is no day and time, too far from the present to be meant, or skipped by the clock in spring.
    """
    try:
        wall = datetime.fromisoformat(typed.strip())
    except ValueError:
        raise ValueError(gettext("Enter a day and a time, such as 2026-02-06 14:30.")) from None
    if wall.tzinfo is not None or not EARLIEST_DAY <= wall.date() <= LATEST_DAY:
        raise ValueError(gettext("Enter a day between 1970 and 2199, without a time zone."))
    moment = wall.replace(tzinfo=shown_zone()).astimezone(UTC)
    back = local(moment).replace(tzinfo=None)
    if back != wall:
        raise ValueError(
            gettext("The clock skips this time that day: it goes forward to %(time)s.", time=f"{back:%H:%M}")
        )
    return moment
