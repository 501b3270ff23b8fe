"""What a station would make of waiting work, and beginning it."""

from app.core.planning.arrays import (
    AS_PLANNED,
    BATCH,
    E_CALL,
    F_PEOPLE,
    J_AFTER,
    J_ARRIVED,
    J_READY,
    K_WHOLE,
    N_BASE,
    N_END,
    N_LOADS,
    N_MIXED,
    N_PIECES,
    N_REOPENS,
    N_SAME,
    N_SETTERS,
    N_SETTERS_USED,
    N_SETUP,
    N_SHORT,
    N_START,
    N_TROUBLE,
    N_WORK,
    NOT_LATER,
    NOT_NOW,
    O_FACTOR,
    O_FAMILY,
    O_FIXTURE,
    O_KIND,
    O_LIMIT,
    O_LOAD,
    O_SEND,
    O_SETUP_FACTOR,
    O_TASK,
    O_UNLOAD,
    PALLET,
    R_AFTER,
    R_ARRIVED,
    R_END,
    R_GUESS,
    R_LOAD,
    R_OP,
    R_PIECES,
    R_READY,
    R_SETUP,
    R_START,
    R_STATION,
    R_UNDER_WAY,
    R_WORK,
    S_ATTENDED,
    S_BENCH,
    S_FIT,
    S_PALLETS,
    S_RUNNING,
    TOO_FEW_SPANS,
    X_JOB,
    X_PIECES,
    Y_BEFORE_END,
    Y_BEFORE_TEND,
    Y_FAMILY,
    Y_FIXTURE,
    Y_FREE,
    Y_HANDS,
    Y_MIX_FROM,
    Y_MIX_OUT,
    Y_MIX_UNLOAD,
    Y_SETTER,
    Y_SETUP_END,
    Y_TEND,
    Packed,
    State,
)
from app.core.planning.kernels.clocks import closing_now, span_later
from app.core.planning.kernels.flow import announce, new_run, pass_on, set_transfer
from app.core.planning.kernels.people import (
    are_or_come,
    count_people,
    hands_missing,
    hold,
    share,
)
from app.core.planning.kernels.reopening import wanted_later
from app.core.planning.kernels.spans import finish, finish_from
from app.core.planning.kernels.times import cycle_ms, done_ms, in_machine_ms, loads_of, needed_setup, whole_seconds


def ends(p: Packed, s: State, calendar: int, start: int, work: int) -> int:
    """Return when work ends, or -1; notes when more spans would have been needed to tell."""
    end = finish(p, calendar, start, work)
    if end < 0 and p[calendar + K_WHOLE] == 0:
        s[N_TROUBLE] |= TOO_FEW_SPANS
    return end


def ends_now(p: Packed, s: State, calendar: int, now: int, start: int, work: int) -> int:
    """Return what ``ends`` does for work that starts now or soon after."""
    if work <= 0:
        return start
    end = finish_from(p, calendar, span_later(p, s, calendar, now, start), start, work)
    if end < 0 and p[calendar + K_WHOLE] == 0:
        s[N_TROUBLE] |= TOO_FEW_SPANS
    return end


def measure(p: Packed, s: State, op: int, station: int, now: int) -> int:
    """Return when a station would end what waits of an operation if it began now; the details go to numbers.

    NOT_NOW, or NOT_LATER, where it cannot begin it.
    """
    y = p[station + S_BENCH]
    s[N_START] = now
    setup = needed_setup(p, s[y + Y_FAMILY], s[y + Y_FIXTURE], op)
    why = hindrance(p, s, op, station, y, setup)
    if why < 0:
        return why
    mixed = s[y + Y_MIX_UNLOAD] if s[y + Y_FREE] > now else -1
    pieces = min(s[p[op + O_TASK] + X_PIECES], p[op + O_LIMIT])
    work = whole_seconds(done_ms(p, op, station, pieces, pieces, mixed))
    if mixed < 0 and p[station + S_FIT] > 0:
        why = hours_missing(p, s, station, as_planned(p, op, setup, work))
        if why < 0:
            return why
    base = s[y + Y_MIX_OUT] if mixed >= 0 else ends_now(p, s, p[station + S_ATTENDED], now, now, setup)
    end = -1 if base < 0 else ends_now(p, s, p[station + S_RUNNING], now, base, work)
    if end < 0 or (mixed >= 0 and p[station + S_FIT] > 0 and end > closing_now(p, s, p[station + S_ATTENDED], now)):
        return NOT_NOW
    if s[N_REOPENS] < end and wanted_later(p, s, op, station, base if setup > 0 else 0, end):
        return NOT_NOW
    s[N_SETUP], s[N_WORK], s[N_BASE], s[N_MIXED], s[N_PIECES] = setup, work, base, mixed, pieces
    s[N_END] = end
    return end


def hindrance(p: Packed, s: State, op: int, station: int, bench: int, setup: int) -> int:
    """Return why an operation cannot begin at N_START, as far as people and the run before it at the station go, or 0.

    Asked first, with where the rows begin: most of what cannot begin falls here, before any end is reckoned.
    """
    if s[bench + Y_FREE] > s[N_START]:
        if p[op + O_KIND] != PALLET or setup > 0:
            return NOT_NOW
        now = s[N_START]
        loaded = ends_now(p, s, p[station + S_RUNNING], now, now, whole_seconds(p[op + O_LOAD]))
        if loaded < 0 or loaded > s[bench + Y_MIX_OUT]:
            return NOT_NOW
    return people_missing(p, s, op, station, bench, setup) if p[F_PEOPLE] == 1 else 0


def people_missing(p: Packed, s: State, op: int, station: int, bench: int, setup: int) -> int:
    """Return why there are no people for a run that begins at N_START, or 0; the station notes whom it waits for."""
    if s[N_START] >= s[N_SAME]:
        count_people(p, s, s[N_START])
    if setup > 0 and s[N_SETTERS_USED] >= s[N_SETTERS]:
        if not are_or_come(p, s, op, station, setup):
            return NOT_LATER
        s[bench + Y_SETTER] = s[N_SHORT] = 1
        return NOT_NOW
    hands = hands_missing(p, s, op, station)
    if hands == 0:
        return 0
    if not are_or_come(p, s, op, station, setup):
        return NOT_LATER
    if s[bench + Y_HANDS] == 0 or hands < s[bench + Y_HANDS]:
        s[bench + Y_HANDS] = hands
    s[N_SHORT] = 1
    return NOT_NOW


def as_planned(p: Packed, op: int, setup: int, work: int) -> int:
    """Return the seconds that set-up and work are planned to take."""
    return setup * AS_PLANNED // p[op + O_SETUP_FACTOR] + work * AS_PLANNED // p[op + O_FACTOR]


def hours_missing(p: Packed, s: State, station: int, planned: int) -> int:
    """Return why what begins at N_START does not end before closing if it takes what is planned, or 0."""
    if planned > p[station + S_FIT]:
        return NOT_LATER
    now = s[N_START]
    return 0 if now + planned <= closing_now(p, s, p[station + S_ATTENDED], now) else NOT_NOW


def occupy(p: Packed, s: State, op: int, station: int) -> None:
    """Keep a station busy with what ``measure`` found; call it at the end, and when it may load a pallet."""
    y, end = p[station + S_BENCH], s[N_END]
    s[y + Y_BEFORE_END] = s[y + Y_FREE] if s[N_MIXED] >= 0 else 0
    s[y + Y_BEFORE_TEND] = s[y + Y_TEND]
    s[y + Y_FREE] = end
    s[y + Y_FAMILY] = p[op + O_FAMILY]
    s[y + Y_FIXTURE] = p[op + O_FIXTURE]
    s[y + Y_SETUP_END] = s[N_BASE] if s[N_SETUP] > 0 else 0
    s[y + Y_TEND] = share(p, op, station)
    s[y + Y_MIX_OUT] = -1
    hold(p, s, station, s[N_START])
    announce(p, s, end, E_CALL, station)
    if p[op + O_KIND] == PALLET and p[station + S_PALLETS] > 1:
        open_for_loading(p, s, op, station)


def open_for_loading(p: Packed, s: State, op: int, station: int) -> None:
    """Note from when to when another run's first pallet may be loaded beside the last one of this run."""
    y, loads = p[station + S_BENCH], loads_of(p, op, s[N_PIECES])
    last = in_machine_ms(p, op, station, loads, s[N_MIXED])
    unloading = p[op + O_UNLOAD] if loads > 1 else max(s[N_MIXED], 0)
    running, base = p[station + S_RUNNING], s[N_BASE]
    begun = span_later(p, s, running, s[N_START], base)
    free = finish_from(p, running, begun, base, whole_seconds(last + unloading))
    out = finish_from(p, running, begun, base, whole_seconds(last + cycle_ms(p, op, station)))
    if 0 <= free < out:
        s[y + Y_MIX_FROM] = free
        s[y + Y_MIX_OUT] = out
        s[y + Y_MIX_UNLOAD] = p[op + O_UNLOAD]
        announce(p, s, free, E_CALL, station)


def run_of(p: Packed, s: State, op: int, station: int, pieces: int) -> int:
    """Use up pieces of what waits of an operation and return their run; its times are still to be noted."""
    x = p[op + O_TASK]
    job = s[x + X_JOB]
    run = new_run(p, s)
    s[run + R_OP] = op
    s[run + R_STATION] = station
    s[run + R_PIECES] = pieces
    s[run + R_ARRIVED] = s[job + J_ARRIVED]
    s[run + R_READY] = s[job + J_READY]
    s[run + R_AFTER] = s[job + J_AFTER]
    s[run + R_GUESS] = 0
    s[run + R_UNDER_WAY] = 0
    s[x + X_PIECES] -= pieces
    return run


def note_times(p: Packed, s: State, run: int) -> None:
    """Note when a run begins and ends, with the set-up and work that ``measure`` found."""
    s[run + R_START] = s[N_START]
    s[run + R_END] = s[N_END]
    s[run + R_SETUP] = s[N_SETUP]
    s[run + R_WORK] = s[N_WORK]
    s[run + R_LOAD] = s[N_LOADS]


def send_on(p: Packed, s: State, run: int, counted: int, skip: int) -> None:
    """Move the pieces of a run at a station on; behind the pieces counted ``skip`` seconds were done before N_BASE."""
    op, station = s[run + R_OP], s[run + R_STATION]
    step = p[op + O_SEND]
    if step == 0:
        pass_on(p, s, run, 0)
        return
    running = p[station + S_RUNNING]
    begun = span_later(p, s, running, s[N_START], s[N_BASE])
    pieces = counted + s[run + R_PIECES]
    if counted > 0:
        skip += whole_seconds(done_ms(p, op, station, counted, pieces, s[N_MIXED]))
    done = counted
    at = 0
    while done < pieces:
        before = done
        done += step
        end = s[run + R_END]
        if done >= pieces:
            done = pieces
        elif p[op + O_KIND] != BATCH:
            work = whole_seconds(done_ms(p, op, station, done, pieces, s[N_MIXED])) - skip
            end = min(end, finish_from(p, running, begun, s[N_BASE], work) if work > 0 else s[N_BASE])
        set_transfer(p, s, at, end, done - before)
        at += 1
    pass_on(p, s, run, at)
