"""People where a station opens again that keeps a run: whether a run that begins now leaves it those it wants then."""

from app.core.planning.arrays import (
    C_CALENDAR,
    C_SETTERS,
    C_TENDERS,
    F_CREWS_COUNT,
    F_STATIONS,
    F_STATIONS_COUNT,
    N_REOPENS,
    N_START,
    S_ATTENDED,
    S_BENCH,
    SP_OPENS,
    STATION_COLUMNS,
    Y_FREE,
    Y_SETUP_END,
    Packed,
    State,
)
from app.core.planning.kernels.clocks import open_later, span_now
from app.core.planning.kernels.flow import call_at
from app.core.planning.kernels.people import next_reopening, share, tenders_at
from app.core.planning.kernels.rows import crew_at, station_at


def wanted_later(p: Packed, s: State, op: int, station: int, setup_end: int, end: int) -> bool:
    """Tell whether a run from N_START to ``end`` would hold people whom a station that is closed wants when it opens.

    Its station then looks for work again at that opening: until then it would only hold them for longer. ``setup_end``
    is 0 without set-up. People must be counted for N_START where the run needs some.
    """
    now, tend = s[N_START], share(p, op, station)
    until = end if tend > 0 else setup_end
    opening = s[N_REOPENS]
    while opening < until:
        sets_up = setup_end > opening
        if open_later(p, s, p[station + S_ATTENDED], now, opening) and too_few_at(p, s, opening, tend, sets_up):
            call_at(p, s, station, opening, now)
            return True
        opening = next_reopening(p, s, opening)
    return False


def too_few_at(p: Packed, s: State, opening: int, tend: int, sets_up: bool) -> bool:
    """Tell whether a run of such a share would have too few people at an opening beside all that is begun by N_START.

    Only those count whom a run that its station keeps for that opening wants too; and where fewer are there than the
    run alone asks for, it is one of those that go on when the next crew is smaller.
    """
    now = s[N_START]
    tenders = setters = kept_tenders = kept_setters = 0
    for station in range(p[F_STATIONS], station_at(p, p[F_STATIONS_COUNT]), STATION_COLUMNS):
        y = p[station + S_BENCH]
        if s[y + Y_FREE] <= opening:
            continue
        attended = p[station + S_ATTENDED]
        at = span_now(p, s, attended, now)
        if at >= 0 and p[at + SP_OPENS] == opening:
            kept_tenders += tenders_at(s, y, opening)
            kept_setters += s[y + Y_SETUP_END] > opening
        elif open_later(p, s, attended, now, opening):
            tenders += tenders_at(s, y, opening)
            setters += s[y + Y_SETUP_END] > opening
    if tend > 0 and kept_tenders > 0:
        there = people_at(p, s, opening, C_TENDERS) * 1000
        if tend <= there < tend + tenders + kept_tenders:
            return True
    return sets_up and kept_setters > 0 and 0 < people_at(p, s, opening, C_SETTERS) <= setters + kept_setters


def people_at(p: Packed, s: State, opening: int, who: int) -> int:
    """Return how many of the crews' people of a column are there at an opening after N_START."""
    there = 0
    for at in range(p[F_CREWS_COUNT]):
        crew = crew_at(p, at)
        if open_later(p, s, p[crew + C_CALENDAR], s[N_START], opening):
            there += p[crew + who]
    return there
