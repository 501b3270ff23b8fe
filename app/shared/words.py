"""Words, numbers and dates as a person reads them: gettext, and the shop's own time zone on every page."""

from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any, Final
from zoneinfo import ZoneInfo

import flask_babel
from babel.support import NullTranslations
from flask import current_app, g, has_app_context
from flask_babel.speaklater import LazyString

from app.shared.clock import current_time

NO_BREAK: Final = "\u00a0"
UNMISTAKABLE: Final = timedelta(days=183)
"""A day that is no further off is meant as the nearest one of its name."""


def translations() -> NullTranslations:
    """Return the translations into the app's one language, looked up once: a page has hundreds of texts."""
    if not has_app_context():
        return NullTranslations()
    found: NullTranslations | None = current_app.extensions.get("lotwright_translations")
    if found is None:
        found = current_app.extensions["lotwright_translations"] = flask_babel.get_translations()
    return found


def gettext(message: str, **values: Any) -> str:
    """Translate ``message`` and fill in its ``%(name)s`` values."""
    text = str(translations().ugettext(message))
    return text % values if values else text


def ngettext(singular: str, plural: str, num: int, **values: Any) -> str:
    """Translate the form that fits ``num``; ``%(num)d`` is filled in."""
    return str(translations().ungettext(singular, plural, num)) % {"num": num, **values}


def lazy_gettext(message: str, **values: Any) -> Any:
    """Translate when it is shown: for labels and messages made at import time."""
    return LazyString(gettext, message, **values)


def use_zone(zone: ZoneInfo | Callable[[], ZoneInfo | None]) -> None:
    """Show times in ``zone`` until the end of this application context; what finds it is called once it is wanted."""
    g.shop_zone = zone


def shown_zone() -> ZoneInfo:
    """Return the zone in which times are shown: the shop's, or UTC before there is a shop."""
    zone = g.get("shop_zone") if has_app_context() else None
    if callable(zone):
        zone = g.shop_zone = zone()
    return zone if isinstance(zone, ZoneInfo) else ZoneInfo("UTC")


def local(moment: datetime) -> datetime:
    """Return ``moment`` (aware) on the shop's wall clock."""
    return moment.astimezone(shown_zone())


def day(value: date | datetime) -> str:
    """Show a day: ``Wed 25 Nov 2026``; a moment shows its day in the shop."""
    there = local(value) if isinstance(value, datetime) else value
    return f"{there:%a} {there.day} {there:%b %Y}"


def short_day(value: date | datetime) -> str:
    """Show a day, ``Wed 25 Nov``; one so far off that it could be another year's with its year."""
    there = local(value) if isinstance(value, datetime) else value
    return day(there) if _is_far(there) else f"{there:%a} {there.day} {there:%b}"


def _is_far(there: date) -> bool:
    """Say whether a day is so far from the present that it is not meant without its year."""
    if not has_app_context():
        return False
    today = local(current_time()).date()
    return abs((there.date() if isinstance(there, datetime) else there) - today) > UNMISTAKABLE


def moment(value: datetime) -> str:
    """Show a day and time on the shop's wall clock, ``Wed 25 Nov 14:05``; one that is far off with its year."""
    return f"{short_day(value)} {local(value):%H:%M}"


def day_and_time(value: date | datetime) -> str:
    """Show a moment with its year: ``Wed 25 Nov 2026 14:05``; a day without a time shows as a day."""
    return f"{day(value)} {clock_time(value)}" if isinstance(value, datetime) else day(value)


def clock_time(value: datetime) -> str:
    """Show a time of day on the shop's wall clock: ``14:05``."""
    return f"{local(value):%H:%M}"


def duration(seconds: int) -> str:
    """Show a stretch of time in its two largest units: ``2 d 3 h``, ``4 h 10 min``, ``35 min``, ``20 s``."""
    left = abs(int(seconds))
    sign = "−" if seconds < 0 else ""
    days, left = divmod(left, 86_400)
    hours, left = divmod(left, 3_600)
    minutes, rest = divmod(left, 60)
    if days:
        shown = _units(days=days, hours=hours)
    elif hours:
        shown = _units(hours=hours, minutes=minutes)
    elif minutes:
        shown = _units(minutes=minutes)
    else:
        shown = _units(seconds=rest) or _on_one_line(gettext("%(seconds)s s", seconds=0))
    return sign + shown


def to_the_minute(minutes: int) -> str:
    """Show whole minutes with all their units, so that what is shown can be added up: ``2 d 3 h 5 min``."""
    hours, minutes = divmod(minutes, 60)
    days, hours = divmod(hours, 24)
    return _units(days=days, hours=hours, minutes=minutes) or _on_one_line(gettext("%(minutes)s min", minutes=0))


def _units(*, days: int = 0, hours: int = 0, minutes: int = 0, seconds: int = 0) -> str:
    """Show the units of which there are any; a line may end between two, not between a number and its unit."""
    units = (
        (days, gettext("%(days)s d", days=days)),
        (hours, gettext("%(hours)s h", hours=hours)),
        (minutes, gettext("%(minutes)s min", minutes=minutes)),
        (seconds, gettext("%(seconds)s s", seconds=seconds)),
    )
    return " ".join(_on_one_line(shown) for count, shown in units if count)


def _on_one_line(text: str) -> str:
    """Return a text whose words no line ends between."""
    return text.replace(" ", NO_BREAK)


def price(value: Decimal) -> str:
    """Show an exact amount of money with two decimal places, or as many more as it has: ``1,250.00``, ``0.0375``."""
    whole, _, places = f"{value:,f}".partition(".")
    return f"{whole}.{places.rstrip('0').ljust(2, '0')}"
