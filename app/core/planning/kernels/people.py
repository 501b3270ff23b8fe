"""People: those whom a station holds are counted when something begins there, and when what it holds changes."""

from typing import Final

from app.core.planning.arrays import (
    C_CALENDAR,
    C_SETTERS,
    C_TENDERS,
    F_BENCHES,
    F_CREWS_COUNT,
    F_PEOPLE,
    FOREVER,
    N_CREWS,
    N_REOPENS,
    N_SAME,
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
    STATE_STATION_COLUMNS,
    TOO_FEW_SPANS,
    Y_BEFORE_END,
    Y_BEFORE_TEND,
    Y_FREE,
    Y_HANDS,
    Y_HOLDS,
    Y_REOPENS,
    Y_SAME,
    Y_SETTER,
    Y_SETTING,
    Y_SETUP_END,
    Y_TEND,
    Y_TENDED,
    Packed,
    State,
)
from app.core.planning.kernels.clocks import closing_now, next_opening, open_now, span_now
from app.core.planning.kernels.rows import benches_end, crew_at, presence_at, station_with
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
    """Have those who are there and those who are busy at ``now`` counted, and note until when it is so."""
    if now >= s[N_CREWS]:
        count_crews(p, s, now)
    same = s[N_CREWS]
    for at in range(p[F_BENCHES] + Y_SAME, benches_end(p), STATE_STATION_COLUMNS):
        if s[at] <= now:
            count_at(p, s, station_with(p, at), now)
        same = s[at] if s[at] < same else same
    s[N_SAME] = same


def count_at(p: Packed, s: State, station: int, now: int) -> None:
    """Count anew whom a station holds at ``now``, and note until when it does."""
    y = p[station + S_BENCH]
    tended = setting = 0
    same = reopens = FOREVER
    if s[y + Y_HOLDS] > now:
        at = span_now(p, s, p[station + S_ATTENDED], now)
        opening = p[at + SP_OPENS] if at >= 0 else FOREVER
        if opening <= now:
            tended = tenders_at(s, y, now)
            setting = 1 if s[y + Y_SETUP_END] > now else 0
            same = held_until(s, y, now, p[at + SP_CLOSES])
        elif opening < s[y + Y_FREE]:
            same = reopens = opening
    s[N_TENDERS_USED] += tended - s[y + Y_TENDED]
    s[N_SETTERS_USED] += setting - s[y + Y_SETTING]
    kept = s[y + Y_REOPENS]
    s[y + Y_TENDED], s[y + Y_SETTING], s[y + Y_SAME], s[y + Y_REOPENS] = tended, setting, same, reopens
    s[N_REOPENS] = next_reopening(p, s, now) if kept < reopens else min(s[N_REOPENS], reopens)


def next_reopening(p: Packed, s: State, second: int) -> int:
    """Return the first opening after ``second`` of the closed stations that keep a run for it, or FOREVER."""
    soonest = FOREVER
    for at in range(p[F_BENCHES] + Y_REOPENS, benches_end(p), STATE_STATION_COLUMNS):
        if second < s[at] < soonest:
            soonest = s[at]
    return soonest


def count_crews(p: Packed, s: State, now: int) -> None:
    """Count who is there at ``now``, and note until when it is so."""
    setters = tenders = 0
    until = FOREVER
    for at in range(p[F_CREWS_COUNT]):
        crew = crew_at(p, at)
        calendar = p[crew + C_CALENDAR]
        if open_now(p, s, calendar, now):
            setters += p[crew + C_SETTERS]
            tenders += p[crew + C_TENDERS]
            until = min(until, closing_now(p, s, calendar, now))
        opening = next_opening(p, s, calendar, now)
        until = opening if 0 <= opening < until else until
    s[N_SETTERS], s[N_TENDERS], s[N_CREWS] = setters, 1000 * tenders, until


def held_until(s: State, y: int, now: int, closes: int) -> int:
    """Return until when a station holds those whom it holds ``now``: it closes, or its run or a set-up ends."""
    soonest = closes
    if now < s[y + Y_FREE] < soonest:
        soonest = s[y + Y_FREE]
    if now < s[y + Y_SETUP_END] < soonest:
        soonest = s[y + Y_SETUP_END]
    return s[y + Y_BEFORE_END] if now < s[y + Y_BEFORE_END] < soonest else soonest


def hold(p: Packed, s: State, station: int, now: int) -> None:
    """Count those whom what has just begun at a station holds; nothing begun ends after the station is free."""
    if p[F_PEOPLE] == 0:
        return
    y = p[station + S_BENCH]
    if s[y + Y_TEND] > 0:
        s[y + Y_HOLDS] = s[y + Y_FREE]
    elif s[y + Y_BEFORE_TEND] > 0 and s[y + Y_BEFORE_END] > s[y + Y_SETUP_END]:
        s[y + Y_HOLDS] = s[y + Y_BEFORE_END]
    else:
        s[y + Y_HOLDS] = s[y + Y_SETUP_END]
    count_at(p, s, station, now)
    s[N_SAME] = min(s[N_SAME], s[y + Y_SAME])


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
