"""What two plans begin otherwise before the next shift ends: people have prepared for it, so the fewer the better."""

from collections.abc import Iterable, Mapping
from typing import Protocol

from app.core.shifts import shifts_around
from app.core.shop import Shop


class Begun(Protocol):
    """A run, of a plan or a forecast."""

    @property
    def lot(self) -> str:
        """Return the key of its lot."""

    @property
    def station(self) -> str | None:
        """Return the key of its station."""

    @property
    def start(self) -> int:
        """Return when it begins."""

    @property
    def under_way(self) -> bool:
        """Tell whether it had begun before."""


def next_shift_ends(shop: Shop) -> dict[str, int]:
    """Return when the next shift of each station ends; a station without one in the coming weeks is left out."""
    coming = {each.key: shifts_around(each.calendar.hours, shop.now).coming for each in shop.stations}
    return {key: spans[0].end for key, spans in coming.items() if spans}


def changed_starts(ends: Mapping[str, int], before: Iterable[Begun], after: Iterable[Begun]) -> int:
    """Return how many lots begin at a station before its next shift ends in one of two plans only."""
    return len(_early(ends, before) ^ _early(ends, after))


def _early(ends: Mapping[str, int], runs: Iterable[Begun]) -> set[tuple[str, str]]:
    """Return (station, lot) of what begins before the ends."""
    return {
        (run.station, run.lot)
        for run in runs
        if run.station is not None and not run.under_way and run.start < ends.get(run.station, 0)
    }
