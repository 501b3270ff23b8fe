"""People: counted once in a second in which work begins, and after each run that begins in it."""

from typing import Final

from app.core.planning.arrays import (
    C_CALENDAR,
    C_SETTERS,
    C_TENDERS,
    F_CREWS_COUNT,
    F_STATIONS,
    F_STATIONS_COUNT,
    FOREVER,
    N_CHANGE,
    N_COMING,
    N_COUNTED,
    N_CREWS,
    N_REOPENS,
    N_SETTERS,
    N_SETTERS_USED,
    N_START,
    N_TENDERS,
    N_TENDERS_USED,
    N_TROUBLE,
    O_KIND,
    O_LOAD,
    O_TEND,
    O_UNLOAD,
    PALLET,
    PR_GONE,
    PR_LAST,
    PR_SETTERS,
    PR_TENDERS,
    S_ATTENDED,
    S_BENCH,
    S_PRESENCES,
    S_PRESENCES_END,
    SP_CLOSES,
    SP_OPENS,
    STATION_COLUMNS,
    TOO_FEW_SPANS,
    Y_BEFORE_END,
    Y_BEFORE_TEND,
    Y_FREE,
    Y_HANDS,
    Y_HOLDS,
    Y_SETTER,
    Y_SETUP_END,
    Y_TEND,
    Packed,
    State,
)
from app.core.planning.kernels.clocks import closing_now, next_opening, open_now, span_now
from app.core.planning.kernels.rows import crew_at, presence_at, station_at
from app.core.planning.kernels.times import cycle_ms

WHOLE_PERSON: Final = 1000
"""Thousandths of one; loading and unloading alone never take more."""


def share(p: Packed, op: int, station: int) -> int:
    """Return the thousandths of a person that a run holds: what is stated, but no less than loading takes."""
    if p[op + O_KIND] != PALLET:
        return p[op + O_TEND]
    handling = p[op + O_LOAD] + p[op + O_UNLOAD]
    if handling == 0:
        return p[op + O_TEND]
    whole = handling + cycle_ms(p, op, station)
    loading = (handling * 1000 + whole - 1) // whole
    return loading if loading > p[op + O_TEND] else p[op + O_TEND]


def count_people(p: Packed, s: State, now: int) -> None:
    """Count who is there and who is busy at ``now``, and note when the first of the others is wanted or free again."""
    if now >= s[N_CREWS]:
        count_crews(p, s, now)
    setting = tended = reopens = 0
    change = s[N_COMING]
    for station in range(p[F_STATIONS], station_at(p, p[F_STATIONS_COUNT]), STATION_COLUMNS):
        y = p[station + S_BENCH]
        if s[y + Y_HOLDS] <= now:
            continue
        at = span_now(p, s, p[station + S_ATTENDED], now)
        opening = p[at + SP_OPENS] if at >= 0 else FOREVER
        if opening <= now:
            tended += tenders_at(s, y, now)
            setting += s[y + Y_SETUP_END] > now
        elif opening < s[y + Y_FREE] and (reopens == 0 or opening < reopens):
            reopens = opening
        change = let_go(p, s, y, at, now, change)
    s[N_COUNTED], s[N_REOPENS], s[N_CHANGE] = now, reopens, change
    s[N_SETTERS_USED], s[N_TENDERS_USED] = setting, tended


def count_crews(p: Packed, s: State, now: int) -> None:
    """Count who is there at ``now``, and note until when they are and when the next crew comes."""
    setters = tenders = 0
    coming = until = FOREVER
    for at in range(p[F_CREWS_COUNT]):
        crew = crew_at(p, at)
        calendar = p[crew + C_CALENDAR]
        if open_now(p, s, calendar, now):
            setters += p[crew + C_SETTERS]
            tenders += p[crew + C_TENDERS]
            until = min(until, closing_now(p, s, calendar, now))
        opening = next_opening(p, s, calendar, now)
        if 0 <= opening < coming:
            coming = opening
    s[N_SETTERS], s[N_TENDERS], s[N_COMING], s[N_CREWS] = setters, 1000 * tenders, coming, min(until, coming)


def let_go(p: Packed, s: State, y: int, span: int, now: int, soonest: int) -> int:
    """Return when people of a station that holds some ``now`` may be free, or ``soonest`` if that is before.

    Its run or a set-up ends, or it closes; ``span`` is the one of its attended time that ends after ``now``, or -1.
    """
    if now < s[y + Y_FREE] < soonest:
        soonest = s[y + Y_FREE]
    if now < s[y + Y_SETUP_END] < soonest:
        soonest = s[y + Y_SETUP_END]
    if now < s[y + Y_BEFORE_END] < soonest:
        soonest = s[y + Y_BEFORE_END]
    return p[span + SP_CLOSES] if span >= 0 and p[span + SP_CLOSES] < soonest else soonest


def count_begun(p: Packed, s: State, station: int, y: int, setup: int) -> None:
    """Count the people of a run that has just begun beside those counted for its second."""
    now = s[N_COUNTED]
    s[N_TENDERS_USED] += s[y + Y_TEND]
    s[N_SETTERS_USED] += setup > 0
    if s[y + Y_HOLDS] > now:
        span = span_now(p, s, p[station + S_ATTENDED], now)
        s[N_CHANGE] = let_go(p, s, y, span, now, s[N_CHANGE])


def note_holding(s: State, y: int) -> None:
    """Note until when what is begun at a station holds people; nothing begun ends after the station is free."""
    if s[y + Y_TEND] > 0:
        s[y + Y_HOLDS] = s[y + Y_FREE]
    elif s[y + Y_BEFORE_TEND] > 0 and s[y + Y_BEFORE_END] > s[y + Y_SETUP_END]:
        s[y + Y_HOLDS] = s[y + Y_BEFORE_END]
    else:
        s[y + Y_HOLDS] = s[y + Y_SETUP_END]


def tenders_at(s: State, y: int, second: int) -> int:
    """Return the thousandths of a person that what is begun at a station holds at a second while it is attended."""
    tend = s[y + Y_TEND] if s[y + Y_FREE] > second else 0
    return tend + s[y + Y_BEFORE_TEND] if s[y + Y_BEFORE_END] > second else tend


def are_or_come(p: Packed, s: State, op: int, station: int, setup: int) -> bool:
    """Tell whether so many people as a run needs are there now, free or not, or come; its station is attended now."""
    stated, there = p[op + O_TEND], s[N_TENDERS]
    if (setup == 0 or s[N_SETTERS] > 0) and stated <= there and there >= WHOLE_PERSON:  # as in ``hands_missing``
        return True
    return come_together(p, s, station, setup, share(p, op, station), s[N_START])


def come_together(p: Packed, s: State, station: int, setup: int, tend: int, now: int) -> bool:
    """Tell whether after ``now`` so many people are at a station at once as so much set-up and such a share need.

    Notes when more spans would have been needed to tell.
    """
    doubt = 0
    for at in range(p[station + S_PRESENCES], p[station + S_PRESENCES_END]):
        row = presence_at(p, at)
        if p[row + PR_TENDERS] >= tend and (setup == 0 or p[row + PR_SETTERS] > 0):
            if p[row + PR_LAST] > now:
                return True
            if p[row + PR_GONE] == 0:
                doubt = TOO_FEW_SPANS
    s[N_TROUBLE] |= doubt
    return False


def hands_missing(p: Packed, s: State, op: int, station: int) -> int:
    """Return the thousandths of a person that a run needs, if they are not there as counted, else 0."""
    stated, room = p[op + O_TEND], s[N_TENDERS] - s[N_TENDERS_USED]
    if p[op + O_KIND] != PALLET:
        return stated if stated > room else 0
    if stated <= room and room >= WHOLE_PERSON:  # no share is more than the greater of these, and to reckon it is slow
        return 0
    tend = share(p, op, station)
    return tend if tend > room else 0


def may_help(s: State, y: int) -> bool:
    """Tell whether there are people, as counted, for what a station waits."""
    if s[y + Y_SETTER] == 1 and s[N_SETTERS_USED] < s[N_SETTERS]:
        return True
    return 0 < s[y + Y_HANDS] <= s[N_TENDERS] - s[N_TENDERS_USED]


def waits_in_vain(p: Packed, s: State, station: int, y: int, now: int) -> bool:
    """Tell whether some of those for whom a station waits do not come any more."""
    if s[y + Y_SETTER] == 1 and not come_together(p, s, station, 1, 0, now):
        return True
    return s[y + Y_HANDS] > 0 and not come_together(p, s, station, 0, s[y + Y_HANDS], now)


def next_change(p: Packed, s: State, now: int) -> int:
    """Return when people may be free that are not now: their run or set-up ends, its station closes, a crew comes.

    -1 is beyond what is laid out.
    """
    if s[N_COUNTED] != now:
        count_people(p, s, now)
    return s[N_CHANGE] if s[N_CHANGE] < FOREVER else -1
