"""What this tablet or phone remembers, in its signed session cookie.

Three things, none of them a secret: who gave their PIN on it today (then the badge alone signs them on again until the
day ends, their PIN or badge changes, or somebody signs out of the office in this browser); the last scan, so that the
same code within five seconds is one scan; and a scan that came before anybody was signed on, to go on with after the
badge.
"""

import hashlib
from datetime import datetime, timedelta
from typing import Any

from flask import session as cookie

from app.floor.services import Sent
from app.people.models import Person
from app.shared.words import local

SAME_SCAN = timedelta(seconds=5)
KEPT_FOR = timedelta(minutes=10)
LONGEST_URL = 500
_PINS, _LAST, _KEPT = "floor_pins", "floor_last_scan", "floor_kept_scan"


def remember_pin(person: Person, now: datetime) -> None:
    """Note that this person gave their PIN on this device today."""
    today = _day(now)
    still_good = {key: mark for key, mark in _pins().items() if mark.startswith(today)}
    cookie[_PINS] = {**still_good, str(person.id): _mark(person, now)}
    cookie.permanent = True


def knows(person: Person, now: datetime) -> bool:
    """Say whether this person gave the PIN they have now on this device today."""
    return bool(person.pin_hash) and _pins().get(str(person.id)) == _mark(person, now)


def _pins() -> dict[str, str]:
    kept: Any = cookie.get(_PINS)
    return kept if isinstance(kept, dict) else {}


def _day(now: datetime) -> str:
    return local(now).date().isoformat()


def _mark(person: Person, now: datetime) -> str:
    digest = hashlib.sha256(f"{person.badge_number} {person.pin_hash}".encode()).hexdigest()
    return f"{_day(now)} {digest[:16]}"


def note_scan(station_id: int, code: str, moment: datetime, url: str) -> None:
    """Note where a scan led, so that the same scan again leads there, too; an address too long for a cookie is not."""
    if len(url) > LONGEST_URL:
        return
    cookie[_LAST] = [station_id, code, moment.isoformat(), url]


def repeated_scan(station_id: int, code: str, moment: datetime) -> str | None:
    """Return where the same code led a moment ago at the same station, or None for a scan of its own."""
    kept: Any = cookie.get(_LAST)
    if not isinstance(kept, list) or kept[:2] != [station_id, code]:
        return None
    return str(kept[3]) if abs(moment - datetime.fromisoformat(kept[2])) < SAME_SCAN else None


def keep_scan(sent: Sent, code: str) -> None:
    """Keep a scan that waits for a badge."""
    cookie[_KEPT] = [sent.station_id, code, sent.key, sent.received_at.isoformat()]


def kept_scan(station_id: int, now: datetime) -> tuple[str, str] | None:
    """Return code and key of the scan that waits for a badge at a station, or None."""
    kept: Any = cookie.get(_KEPT)
    if not isinstance(kept, list) or kept[0] != station_id:
        return None
    return (str(kept[1]), str(kept[2])) if now - datetime.fromisoformat(kept[3]) < KEPT_FOR else None


def forget_kept_scan() -> None:
    """Drop the scan that waited: it goes on now, or something else was done."""
    cookie.pop(_KEPT, None)
