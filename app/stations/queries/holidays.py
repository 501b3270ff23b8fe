"""Public holidays from the ``holidays`` library, offered as closed days."""

from dataclasses import dataclass
from datetime import date
from functools import lru_cache

import holidays
from babel import Locale

from app.stations.errors import UnknownCountryError, UnknownStateError


@dataclass(frozen=True, slots=True)
class Holiday:
    """A public holiday, or the working day on which one that falls on a weekend is observed."""

    day: date
    name: str


@lru_cache
def _states_by_country() -> dict[str, list[str]]:
    return holidays.list_supported_countries(include_aliases=False)


@lru_cache
def countries() -> list[tuple[str, str]]:
    """Return code and English name of each country whose holidays are known, by name."""
    names = Locale("en").territories
    return sorted(((code, str(names.get(code, code))) for code in _states_by_country()), key=lambda pair: pair[1])


@lru_cache
def states(country: str) -> list[tuple[str, str]]:
    """Return code and name of each state (or province) of a country whose own holidays are known, by name.

    Raises:
        UnknownCountryError: no holidays are known for the country.
    """
    if country not in _states_by_country():
        raise UnknownCountryError
    names: dict[str, str] = {}
    for name, code in holidays.country_holidays(country).subdivisions_aliases.items():
        names.setdefault(code, name)
    return sorted(((code, names.get(code, code)) for code in _states_by_country()[country]), key=lambda pair: pair[1])


def state_code(country: str, typed: str) -> str:
    """Return the code of a state typed as its code or name; empty for none.

    Raises:
        UnknownCountryError: no holidays are known for the country.
        UnknownStateError: the country has no such state.
    """
    known = states(country)
    wanted = " ".join(typed.split()).casefold()
    if not wanted:
        return ""
    for code, name in known:
        if wanted in {code.casefold(), name.casefold()}:
            return code
    raise UnknownStateError(typed, [code for code, _name in known])


def offered_days(country: str, state: str, year: int) -> list[Holiday]:
    """Return the public holidays of a year with the days on which they are observed, by date.

    Raises:
        UnknownCountryError: no holidays are known for the country.
        UnknownStateError: the country has no such state.
    """
    code = state_code(country, state)
    known = holidays.country_holidays(country, subdiv=code or None, years=year)
    # A holiday may be observed in the year before or after its own; the library lists each day under its own year.
    return [Holiday(day, name) for day, name in sorted(known.items()) if day.year == year]
