"""How long a run takes, and when within it each piece is taken up and done; set-up.

Figures are milliseconds of work from its beginning; ``mixed`` is -1, or for a run that goes in beside the last load of
another the unloading time of that one.

What is rounded up is so by adding to it: a machine divides what is below zero at half the pace.
"""

from app.core.planning.arrays import (
    BAR,
    BATCH,
    O_CYCLE,
    O_FAMILY,
    O_FIXTURE,
    O_FIXTURE_SETUP,
    O_KIND,
    O_LOAD,
    O_SETUP,
    O_UNIT,
    O_UNLOAD,
    PALLET,
    S_CHANGE,
    S_PACE,
    S_PALLETS,
    SINGLE,
    Packed,
)


def whole_seconds(milliseconds: int) -> int:
    """Return the whole seconds that hold ``milliseconds``."""
    return (milliseconds + 999) // 1000


def needed_setup(p: Packed, family: int, fixture: int, op: int) -> int:
    """Return the seconds of set-up after a run of some family and fixture."""
    if p[op + O_FAMILY] != 0 and p[op + O_FAMILY] == family:
        return 0
    if p[op + O_FIXTURE] != 0 and p[op + O_FIXTURE] == fixture:
        return p[op + O_FIXTURE_SETUP]
    return p[op + O_SETUP]


def cycle_ms(p: Packed, op: int, station: int) -> int:
    """Return the time of one cycle at a station."""
    pace = p[station + S_PACE]
    return p[op + O_CYCLE] if pace == 100 else (p[op + O_CYCLE] * 100 + pace - 1) // pace


def loads_of(p: Packed, op: int, pieces: int) -> int:
    """Return how many loads, or bars, it takes for so many pieces."""
    return (pieces + p[op + O_UNIT] - 1) // p[op + O_UNIT]


def done_ms(p: Packed, op: int, station: int, done: int, pieces: int, mixed: int) -> int:
    """Return when the first ``done`` (one or more) of a run's ``pieces`` are done."""
    kind = p[op + O_KIND]
    if kind == SINGLE:
        return done * cycle_ms(p, op, station)
    if kind == BAR:
        return done * cycle_ms(p, op, station) + loads_of(p, op, done) * p[op + O_LOAD]
    if kind == BATCH:
        return p[op + O_CYCLE]
    if kind == PALLET:
        return unloaded_ms(p, op, station, loads_of(p, op, done), loads_of(p, op, pieces), mixed)
    return 0


def taken_up_ms(p: Packed, op: int, station: int, before: int) -> int:
    """Return when a run takes up the piece that has ``before`` others before it."""
    kind = p[op + O_KIND]
    if kind == SINGLE:
        return before * cycle_ms(p, op, station)
    if kind == BAR:
        return before * cycle_ms(p, op, station) + (before // p[op + O_UNIT] + 1) * p[op + O_LOAD]
    if kind == PALLET:
        return loading_starts_ms(p, op, station, before // p[op + O_UNIT] + 1)
    return 0


def loading_starts_ms(p: Packed, op: int, station: int, load: int) -> int:
    """Return when the loading of load number ``load`` (from 1) starts."""
    if p[station + S_PALLETS] < 2:
        return (load - 1) * alone_ms(p, op, station)
    if load == 1:
        return 0
    if load == 2:
        return in_machine_ms(p, op, station, 1, -1)
    return in_machine_ms(p, op, station, load - 1, -1) + p[op + O_UNLOAD]


def unloaded_ms(p: Packed, op: int, station: int, load: int, loads: int, mixed: int) -> int:
    """Return when load number ``load`` of ``loads`` is unloaded."""
    if p[station + S_PALLETS] < 2:
        return load * alone_ms(p, op, station)
    if load < loads:
        return in_machine_ms(p, op, station, load + 1, mixed) + p[op + O_UNLOAD]
    tender = p[op + O_UNLOAD] if loads > 1 else max(mixed, 0)
    out = max(cycle_ms(p, op, station) + p[station + S_CHANGE], tender)
    return in_machine_ms(p, op, station, loads, mixed) + out + p[op + O_UNLOAD]


def in_machine_ms(p: Packed, op: int, station: int, load: int, mixed: int) -> int:
    """Return when load number ``load`` has been changed into the machine and cutting starts."""
    change = p[station + S_CHANGE]
    cycle = cycle_ms(p, op, station)
    first = change if mixed >= 0 else p[op + O_LOAD] + change
    if load == 1:
        return first
    # Compared without ``max``: in plain Python a call takes as long as all the rest here.
    loading = p[op + O_LOAD] + mixed if mixed > 0 else p[op + O_LOAD]
    second = first + (cycle if cycle > loading else loading) + change
    changing_over = p[op + O_UNLOAD] + p[op + O_LOAD]
    return second + (load - 2) * ((cycle if cycle > changing_over else changing_over) + change)


def alone_ms(p: Packed, op: int, station: int) -> int:
    """Return the time of one load at a station that has no second pallet to load meanwhile."""
    return p[op + O_LOAD] + cycle_ms(p, op, station) + p[op + O_UNLOAD]
