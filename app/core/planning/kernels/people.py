"""People: counted once in a second in which work begins, and after each run that begins in it."""

from app.core.planning.arrays import (
    C_CALENDAR,
    C_SETTERS,
    C_TENDERS,
    F_CREWS_COUNT,
    F_PEOPLE,
    F_STATIONS_COUNT,
    K_END,
    N_COUNTED,
    N_SETTERS,
    N_SETTERS_USED,
    N_TENDERS,
    N_TENDERS_USED,
    O_KIND,
    O_LOAD,
    O_TEND,
    O_UNLOAD,
    PALLET,
    S_ATTENDED,
    Y_BEFORE_END,
    Y_BEFORE_TEND,
    Y_FREE,
    Y_SETUP_END,
    Y_TEND,
    Packed,
    State,
)
from app.core.planning.kernels.rows import bench_at, calendar_at, crew_at, station_at
from app.core.planning.kernels.spans import closes, is_open, opens, span_after
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
    """Count who is there and who is busy at ``now``, unless that is done."""
    if s[N_COUNTED] == now:
        return
    s[N_COUNTED] = now
    s[N_SETTERS] = s[N_TENDERS] = s[N_SETTERS_USED] = s[N_TENDERS_USED] = 0
    for at in range(p[F_CREWS_COUNT]):
        crew = crew_at(p, at)
        if is_open(p, p[crew + C_CALENDAR], now):
            s[N_SETTERS] += p[crew + C_SETTERS]
            s[N_TENDERS] += 1000 * p[crew + C_TENDERS]
    for station in range(p[F_STATIONS_COUNT]):
        y = bench_at(p, station)
        if s[y + Y_FREE] > now and is_open(p, p[station_at(p, station) + S_ATTENDED], now):
            s[N_TENDERS_USED] += s[y + Y_TEND]
            if s[y + Y_SETUP_END] > now:
                s[N_SETTERS_USED] += 1
            if s[y + Y_BEFORE_END] > now:
                s[N_TENDERS_USED] += s[y + Y_BEFORE_TEND]


def enough_people(p: Packed, s: State, now: int, setup: int, tend: int) -> bool:
    """Tell whether a run that needs these people can begin now."""
    if p[F_PEOPLE] == 0 or (setup == 0 and tend == 0):
        return True
    count_people(p, s, now)
    if setup > 0 and s[N_SETTERS_USED] + 1 > s[N_SETTERS]:
        return False
    return tend == 0 or s[N_TENDERS_USED] + tend <= s[N_TENDERS]


def next_change(p: Packed, s: State, now: int) -> int:
    """Return when people may be free that are not now: a run or set-up ends, a crew comes, a station closes; or -1."""
    soonest = -1
    for station in range(p[F_STATIONS_COUNT]):
        y = bench_at(p, station)
        for moment in (s[y + Y_FREE], s[y + Y_SETUP_END], s[y + Y_BEFORE_END]):
            if moment > now and (soonest < 0 or moment < soonest):
                soonest = moment
        if s[y + Y_FREE] > now:
            soonest = sooner(p, p[station_at(p, station) + S_ATTENDED], now, soonest)
    for at in range(p[F_CREWS_COUNT]):
        soonest = sooner(p, p[crew_at(p, at) + C_CALENDAR], now, soonest)
    return soonest


def sooner(p: Packed, calendar: int, now: int, soonest: int) -> int:
    """Return the end of an open stretch, or the beginning of the next, where it comes before ``soonest``."""
    at = span_after(p, calendar, now)
    if at < 0:
        return soonest
    moment = closes(p, at) if opens(p, at) <= now else opens(p, at)
    if soonest < 0 or moment < soonest:
        soonest = moment
    if opens(p, at) <= now and at + 1 < p[calendar_at(p, calendar) + K_END]:
        soonest = min(soonest, opens(p, at + 1))
    return soonest
