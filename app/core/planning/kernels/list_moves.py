"""Moves of a list, each made in its trial: one operation put elsewhere, or the rest of a lot sooner or later.

A move notes in ``M_FIRST`` and ``M_LAST`` the places between which the trial may differ from the list.
"""

from app.core.planning.arrays import F_STEPS_COUNT, Packed, State
from app.core.planning.kernels.rows import place_at, trial_at
from app.core.planning.list_arrays import D_LOT, M_FIRST, M_LAST


def rotate(p: Packed, c: State, source: int, target: int) -> None:
    """Move what stands at one place to another; what is between moves up by one."""
    lot = c[place_at(p, source) + D_LOT]
    step = 1 if target > source else -1
    at = source
    while at != target:
        c[trial_at(p, at)] = c[place_at(p, at + step) + D_LOT]
        at += step
    c[trial_at(p, target)] = lot
    c[M_FIRST], c[M_LAST] = min(source, target), max(source, target)


def next_of(p: Packed, c: State, lot: int, at: int) -> int:
    """Return the first place of a lot from ``at`` on; one behind the list where there is none."""
    while at < p[F_STEPS_COUNT] and c[place_at(p, at) + D_LOT] != lot:
        at += 1
    return at


def shift_later(p: Packed, c: State, source: int, places: int) -> None:
    """Move what stands at a place, and all that follows it in its lot, so many places later."""
    merge(p, c, source, source, -places)


def shift_sooner(p: Packed, c: State, source: int, places: int) -> None:
    """Move what stands at a place, and all that follows it in its lot, so many places sooner.

    It stays behind what comes before it in its lot.
    """
    lot = c[place_at(p, source) + D_LOT]
    first = max(0, source - places)
    for at in range(first, source):
        if c[place_at(p, at) + D_LOT] == lot:
            first = at + 1
    merge(p, c, first, source, places)


def merge(p: Packed, c: State, first: int, source: int, places: int) -> None:
    """Put what a lot has from place ``source`` on so many places sooner (or later, below 0), from ``first`` on."""
    lot, steps = c[place_at(p, source) + D_LOT], p[F_STEPS_COUNT]
    coming, to = source, first
    at = first
    while at < steps:
        while coming < steps and coming - places <= at - (1 if places < 0 else 0):
            c[trial_at(p, to)] = lot
            to += 1
            coming = next_of(p, c, lot, coming + 1)
        if c[place_at(p, at) + D_LOT] != lot:
            c[trial_at(p, to)] = c[place_at(p, at) + D_LOT]
            to += 1
        at += 1
        if coming == steps and to == at:
            break
    while coming < steps:
        c[trial_at(p, to)] = lot
        to += 1
        coming = next_of(p, c, lot, coming + 1)
    c[M_FIRST], c[M_LAST] = first, max(at, to) - 1
