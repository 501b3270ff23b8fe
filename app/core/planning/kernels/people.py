"""People: counted once in a second in which work begins, and after each run that begins in it."""

from app.core.planning.arrays import (
    C_CALENDAR,
    C_SETTERS,
    C_TENDERS,
    F_CREWS_COUNT,
    F_STATIONS_COUNT,
    FOREVER,
    N_COUNTED,
    N_SETTERS,
    N_SETTERS_USED,
    N_START,
    N_TENDERS,
    N_TENDERS_USED,
    O_KIND,
    O_LOAD,
    O_TEND,
    O_UNLOAD,
    PALLET,
    S_ATTENDED,
    STATE_STATION_COLUMNS,
    Y_BEFORE_END,
    Y_BEFORE_TEND,
    Y_FREE,
    Y_HANDS,
    Y_SETTER,
    Y_SETUP_END,
    Y_TEND,
    Packed,
    State,
)
from app.core.planning.kernels.clocks import next_opening, open_now, span_now
from app.core.planning.kernels.rows import bench_at, crew_at, station_at
from app.core.planning.kernels.spans import closes
from app.core.planning.kernels.times import cycle_ms


def share(p: Packed, op: int, station: int) -> int:
    """Return the thousandths of a person that a run holds: what is stated, but no less than loading takes."""
    if p[op + O_KIND] != PALLET:
        return p[op + O_TEND]
    handling = p[op + O_LOAD] + p[op + O_UNLOAD]
    if handling == 0:
        return p[op + O_TEND]
    return max(p[op + O_TEND], -(-handling * 1000 // (handling + cycle_ms(p, op, station))))


def count_people(p: Packed, s: State, now: int) -> None:
    """Count who is there and who is busy at ``now``."""
    s[N_COUNTED] = now
    s[N_SETTERS] = s[N_TENDERS] = s[N_SETTERS_USED] = s[N_TENDERS_USED] = 0
    for at in range(p[F_CREWS_COUNT]):
        crew = crew_at(p, at)
        if open_now(p, s, p[crew + C_CALENDAR], now):
            s[N_SETTERS] += p[crew + C_SETTERS]
            s[N_TENDERS] += 1000 * p[crew + C_TENDERS]
    y = bench_at(p, -1)
    for station in range(p[F_STATIONS_COUNT]):
        y += STATE_STATION_COLUMNS
        if s[y + Y_FREE] <= now or not holds_people(s, y, now):
            continue
        if open_now(p, s, p[station_at(p, station) + S_ATTENDED], now):
            s[N_TENDERS_USED] += s[y + Y_TEND]
            if s[y + Y_SETUP_END] > now:
                s[N_SETTERS_USED] += 1
            if s[y + Y_BEFORE_END] > now:
                s[N_TENDERS_USED] += s[y + Y_BEFORE_TEND]


def holds_people(s: State, y: int, now: int) -> bool:
    """Tell whether the run at a busy station holds people while it is attended."""
    return s[y + Y_TEND] > 0 or s[y + Y_SETUP_END] > now or (s[y + Y_BEFORE_END] > now and s[y + Y_BEFORE_TEND] > 0)


def setter_missing(p: Packed, s: State, setup: int) -> bool:
    """Tell whether nobody is there at N_START who could do so much set-up; there must be crews."""
    if setup == 0:
        return False
    if s[N_COUNTED] != s[N_START]:
        count_people(p, s, s[N_START])
    return s[N_SETTERS_USED] >= s[N_SETTERS]


def somebody_sets_up(p: Packed, s: State) -> bool:
    """Tell whether any crew has somebody who sets up, once people are counted."""
    if s[N_SETTERS] > 0:
        return True
    setters = 0
    for at in range(p[F_CREWS_COUNT]):
        setters += p[crew_at(p, at) + C_SETTERS]
    return setters > 0


def hands_missing(p: Packed, s: State, op: int, station: int) -> int:
    """Return the thousandths of a person that a run needs, if they are not there at N_START, else 0."""
    tend = share(p, op, station)
    if tend == 0:
        return 0
    if s[N_COUNTED] != s[N_START]:
        count_people(p, s, s[N_START])
    return tend if s[N_TENDERS_USED] + tend > s[N_TENDERS] else 0


def may_help(s: State, y: int) -> bool:
    """Tell whether there are people, as counted, for what a station waits."""
    if s[y + Y_SETTER] == 1 and s[N_SETTERS_USED] < s[N_SETTERS]:
        return True
    return 0 < s[y + Y_HANDS] <= s[N_TENDERS] - s[N_TENDERS_USED]


def next_change(p: Packed, s: State, now: int) -> int:
    """Return when people may be free that are not now: their run or set-up ends, its station closes, a crew comes.

    -1 is beyond what is laid out.
    """
    soonest = FOREVER
    y = bench_at(p, -1)
    for station in range(p[F_STATIONS_COUNT]):
        y += STATE_STATION_COLUMNS
        if s[y + Y_FREE] <= now or not holds_people(s, y, now):
            continue
        soonest = min(soonest, s[y + Y_FREE])
        if now < s[y + Y_SETUP_END] < soonest:
            soonest = s[y + Y_SETUP_END]
        if now < s[y + Y_BEFORE_END] < soonest:
            soonest = s[y + Y_BEFORE_END]
        at = span_now(p, s, p[station_at(p, station) + S_ATTENDED], now)
        if at >= 0:
            soonest = min(soonest, closes(p, at))
    for at in range(p[F_CREWS_COUNT]):
        opening = next_opening(p, s, p[crew_at(p, at) + C_CALENDAR], now)
        if opening >= 0:
            soonest = min(soonest, opening)
    return soonest if soonest < FOREVER else -1
