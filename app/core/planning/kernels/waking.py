"""When stations look for work: something comes, they open, or people may be free; and when they rest again."""

from app.core.planning.arrays import (
    F_AWAKE,
    F_BENCHES,
    K_WHOLE,
    N_AWAKE,
    N_SAME,
    N_SHORT,
    N_TROUBLE,
    S_ATTENDED,
    S_BENCH,
    S_FIT,
    STATE_STATION_COLUMNS,
    TOO_FEW_SPANS,
    Y_AWAKE,
    Y_FREE,
    Y_HANDS,
    Y_LOOKED,
    Y_MIX_FROM,
    Y_MIX_OUT,
    Y_SETTER,
    Packed,
    State,
)
from app.core.planning.kernels.clocks import next_opening, open_now
from app.core.planning.kernels.flow import call_at
from app.core.planning.kernels.people import count_people, may_help, waits_in_vain
from app.core.planning.kernels.rows import benches_end, station_with


def rouse(p: Packed, s: State, station: int, now: int) -> None:
    """Have a station look for work now, or when it opens; a busy one only while it may load a pallet."""
    y = p[station + S_BENCH]
    if s[y + Y_AWAKE] > 0 or (s[y + Y_FREE] > now and not s[y + Y_MIX_FROM] <= now < s[y + Y_MIX_OUT]):
        return
    calendar = p[station + S_ATTENDED]
    if open_now(p, s, calendar, now):
        s[y + Y_AWAKE] = 1
        s[y + Y_LOOKED] = s[y + Y_SETTER] = s[y + Y_HANDS] = 0
        s[p[F_AWAKE] + s[N_AWAKE]] = station
        s[N_AWAKE] += 1
        return
    opening = next_opening(p, s, calendar, now)
    if opening < 0:
        if p[calendar + K_WHOLE] == 0:
            s[N_TROUBLE] |= TOO_FEW_SPANS
    else:
        call_at(p, s, station, opening, now)


def rouse_for_people(p: Packed, s: State, now: int) -> None:
    """Have the stations look for work for which there are people now; the others wait on."""
    if now >= s[N_SAME]:
        count_people(p, s, now)
    for y in range(p[F_BENCHES], benches_end(p), STATE_STATION_COLUMNS):
        if s[y + Y_SETTER] == 0 and s[y + Y_HANDS] == 0:
            continue
        station = station_with(p, y)
        if may_help(s, y) or waits_in_vain(p, s, station, y, now):
            rouse(p, s, station, now)
        else:
            s[N_SHORT] = 1


def fall_asleep(p: Packed, s: State, station: int, now: int) -> None:
    """Let a station rest until something calls it; one whose work must fit tries again at the next opening."""
    y = p[station + S_BENCH]
    s[y + Y_AWAKE] = 0
    if p[station + S_FIT] == 0 or s[y + Y_LOOKED] == 0 or s[y + Y_FREE] > now:
        return
    opening = next_opening(p, s, p[station + S_ATTENDED], now)
    if opening < 0:
        s[N_TROUBLE] |= TOO_FEW_SPANS
    else:
        call_at(p, s, station, opening, now)
