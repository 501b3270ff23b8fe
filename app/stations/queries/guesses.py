"""A station's open hours for the core, its shifts around a moment, and the guesses that they offer."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from sqlalchemy import orm

from app.core.calendar_hours import Downtime, OpenHours, Shift
from app.core.shifts import LOOK_DAYS, Shifts, end_of_shift, next_morning, shifts_around
from app.core.worktime import Span
from app.shared.words import gettext
from app.stations.errors import NoSuchGuessError
from app.stations.models import Shop, Station
from app.stations.queries.closures import closed_days
from app.stations.queries.shop import shop
from app.stations.queries.stations import recent_overtimes

AN_HOUR, SHIFT_END, MORNING, TYPED = "1h", "shift", "morning", "typed"


@dataclass(frozen=True, slots=True)
class Guess:
    """When somebody thinks a station is back: what was chosen or typed, and the moment it means."""

    about: str
    until: datetime


@dataclass(frozen=True, slots=True)
class QuickGuess:
    """A guess that takes one tap: its key, its name, and the moment it means now."""

    key: str
    label: str
    until: datetime


def open_hours(
    shop: Shop,
    station: Station,
    closed: frozenset[date],
    overtimes: Collection[Span],
    downtimes: tuple[Downtime, ...] = (),
) -> OpenHours:
    """Return when a station is meant to be open, as the core reckons."""
    shifts = tuple(Shift(each.weekday, each.starts, each.ends) for each in station.shifts)
    return OpenHours(shop.time_zone, shifts, closed, tuple(overtimes), downtimes)


def hours_around(session: orm.Session, station: Station, now: datetime) -> OpenHours:
    """Read when a station is open in the weeks around ``now``, whatever is down; at most four statements.

    Raises:
        NoShopError: the shop is not set up yet.
    """
    since = now - timedelta(days=LOOK_DAYS + 1)
    overtimes = [
        Span(int(each.starts_at.timestamp()), int(each.ends_at.timestamp()))
        for each in recent_overtimes(session, station, since)
    ]
    return open_hours(shop(session), station, closed_days(session, since.date()), overtimes)


def station_shifts(session: orm.Session, station: Station, now: datetime) -> Shifts:
    """Return a station's shifts around ``now``."""
    return shifts_around(hours_around(session, station, now), int(now.timestamp()))


def quick_guesses(session: orm.Session, station: Station, now: datetime) -> list[QuickGuess]:
    """Return the guesses that take one tap at ``now``; those that the station's shifts do not give are left out."""
    hours, second = hours_around(session, station, now), int(now.timestamp())
    found = [QuickGuess(AN_HOUR, gettext("In 1 hour"), now + timedelta(hours=1))]
    ends, opens = end_of_shift(hours, second), next_morning(hours, second)
    if ends is not None:
        found.append(QuickGuess(SHIFT_END, gettext("At the end of this shift"), datetime.fromtimestamp(ends, UTC)))
    if opens is not None:
        found.append(QuickGuess(MORNING, gettext("Next morning"), datetime.fromtimestamp(opens, UTC)))
    return found


def guess_for(offered: list[QuickGuess], about: str, typed: datetime | None) -> Guess:
    """Return the guess that was chosen among those offered, or typed.

    Raises:
        NoSuchGuessError: neither.
    """
    for each in offered:
        if each.key == about:
            return Guess(about, each.until)
    if about != TYPED or typed is None:
        raise NoSuchGuessError
    return Guess(typed.isoformat(), typed)
