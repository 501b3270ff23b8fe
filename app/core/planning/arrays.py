"""The shop as arrays: what the kernels read and write. Rows of two-dimensional arrays have the columns named here.

A shop is two arrays: what is given, and the state of the decoder. Each holds tables one behind the other; the row of
something begins at the place that ``kernels.rows`` tells, and its columns follow. Two arrays and whole numbers are all
that goes from kernel to kernel, which keeps the calls of the compiled ones cheap. An operation, a station, a pool and a
calendar are told by the place where their row of the given begins, which has the place of their row of the state, and
jobs and runs by that of the state; lots are told by their number. Times are whole seconds from the problem's ``now``,
work is milliseconds where it says so.
"""

from typing import Final, NamedTuple

# Kinds of operation.
SINGLE, PALLET, BATCH, BAR, LEAD, PURCHASE = range(6)

# Columns of operations. What is asked of each that waits comes first, then what is asked of each whose pieces arrive,
# so that each is read from memory at once.
(
    O_KIND,
    O_WAIT,  # s a batch waits
    O_FAMILY,  # 0 is none
    O_FIXTURE,  # 0 is none
    O_SETUP,  # s
    O_FIXTURE_SETUP,  # s
    O_TEND,  # thousandths of a person
    O_POOL,  # -1: no station needed, or none can be had
    O_CYCLE,  # ms of a cycle, or of a batch
    O_UNIT,  # pieces of a load or from a bar
    O_LIMIT,  # most pieces of a run
    O_TASK,  # its row in the state's ``ops``
    O_LEFT,  # pieces that will come to it, wait or are in work
    O_NOT_BEFORE,
    O_COMPONENTS,  # lots it waits for
    O_BLOCKED,  # 1: pieces that reach it go no further
    O_LOAD,  # ms of loading, or of a bar change
    O_UNLOAD,  # ms
    O_SETUP_FACTOR,  # its set-up takes so many parts of AS_PLANNED of what is planned
    O_FACTOR,  # its work
    O_SEND,  # pieces of a transfer, or 0
    O_LOT,  # its lot
    O_NEXT,  # the operation after it in the lot, or -1
    O_LOST,  # pieces of those that it does that go no further; a plan loses none, a simulation draws them
    O_COUNTED,
    O_WAITING,
    O_ROOM,  # most pieces of its own in a batch
    O_MAX_PIECES,  # of a batch
    O_MAX_WEIGHT,  # of a batch, g
    O_PIECE_WEIGHT,  # g
    O_ARRIVALS,  # first of its rows in ``arrivals``
    O_ARRIVALS_END,
    O_DAYS,  # lead time
    O_WORKING,  # 1: working days
    O_WAITED,  # s that what waits has waited for others to share its batch already
    OP_COLUMNS,
) = range(36)

# Columns of given ``stations``.
(
    S_BENCH,  # its row in the state's ``stations``
    S_ATTENDED,  # calendars
    S_RUNNING,
    S_PALLETS,
    S_CHANGE,  # ms
    S_PACE,  # percent
    S_FIT,  # the longest attended stretch, where set-up and work must fit into one; else 0
    S_FAMILY,
    S_FIXTURE,
    S_POOLS,  # its rows in ``station_pools``
    S_POOLS_END,
    S_PRESENCES,  # its rows in ``presences``
    S_PRESENCES_END,
    STATION_COLUMNS,
) = range(14)

# Columns of given ``pools``: work that the same stations can do.
(
    P_BIN,  # its row of the state
    P_STATIONS,
    P_STATIONS_END,
    P_QUEUE,  # where in the state its queue begins
    P_RECIPE,
    POOL_COLUMNS,
) = range(6)

# Columns of given ``lots``.
L_FIRST, L_LEFT, L_RELEASE, L_DUE, L_WEIGHT, L_WAITERS, L_WAITERS_END, LOT_COLUMNS = range(8)

# Columns of given ``under_way``, in the order in which the loads of each station go on.
(
    U_OP,
    U_STATION,
    U_PIECES,
    U_COUNTED,  # pieces of its run before them
    U_SETUP,  # all of its set-up
    U_SETUP_LEFT,
    U_WORK_LEFT,
    U_DONE_WORK,  # since those counted were done by the model; below zero where it is not so far
    U_FIRST,
    U_ALONE,
    UNDER_WAY_COLUMNS,
) = range(11)

# Columns of given ``returns``: pieces outside that come back at a known time; of ``Packed.arrivals``: deliveries.
B_OP, B_PIECES, B_TIME, B_GUESS, RETURN_COLUMNS = range(5)

# Columns of given ``crews`` and ``Packed.calendars``.
C_CALENDAR, C_SETTERS, C_TENDERS, CREW_COLUMNS = range(4)

# Columns of given ``presences``: people who are together at a station while it is attended.
(
    PR_SETTERS,
    PR_TENDERS,  # thousandths
    PR_LAST,  # when they are there no longer, as far as calendars are laid out
    PR_GONE,  # 1: they are gone for good then, so far are they laid out beyond it
    PRESENCE_COLUMNS,
) = range(5)
(
    K_FIRST,
    K_END,
    K_WHOLE,  # 1: there is nothing beyond the spans laid out
    K_CLOCK,  # where in the state the span stands in which the second is that is dealt with, or the next one
    CALENDAR_COLUMNS,
) = range(5)
SP_OPENS, SP_CLOSES, SP_BEFORE, SPAN_COLUMNS = range(4)
# SP_BEFORE: the open seconds of its calendar before a span.

# Columns of the state's ``ops``.
(
    X_RANK,
    X_PIECES,  # those that wait
    X_JOB,  # the job that they are of, while some wait
    X_LEFT,
    X_DONE,  # done and not yet passed on
    X_LAST_END,
    X_LAST_RUN,
    X_PASSED,  # pieces that left it, with those lost
    X_BOUGHT,  # pieces of its deliveries used up
    X_MISSING,  # component lots not finished yet
    X_COMPONENTS,  # when the last of them is finished
    X_PARKED,  # first of its jobs that wait for components, or -1
    STATE_OP_COLUMNS,
) = range(13)

# Columns of the state's ``stations``.
(
    Y_FREE,
    Y_FAMILY,
    Y_FIXTURE,
    Y_OPENING,  # the second at which it is called already, as it or another station opens then, or -1
    Y_AWAKE,
    Y_LOOKED,  # so much waiting work was NOT_NOW, this second
    Y_SETTER,  # 1: it waits for somebody who sets up
    Y_HANDS,  # the fewest thousandths of a person that it waits for, or 0
    Y_MIX_FROM,  # pallet work may be loaded from then
    Y_MIX_OUT,  # until then, when the last cutting ends
    Y_MIX_UNLOAD,  # ms
    Y_SETUP_END,
    Y_TEND,  # until it is free
    Y_BEFORE_END,  # of the run that a mixed-in one overlaps, or of the load under way
    Y_BEFORE_TEND,
    Y_HOLDS,  # until then what is begun holds people while it is attended
    Y_SAME,  # until then it holds those counted
    Y_TENDED,  # thousandths of a person counted
    Y_SETTING,  # 1: somebody who sets up is counted
    Y_REOPENS,  # when it opens, where it is closed and keeps a run for then; else FOREVER
    STATE_STATION_COLUMNS,
) = range(21)

# Columns of pools in the state.
(
    Q_LAST,  # where in it the lowest rank stands
    Q_LEFT,  # where the lowest stands that was not looked at yet, this second
    Q_OTHERS,  # where the lowest stands that was not looked at yet for a batch
    Q_PENDING,
    BIN_COLUMNS,
) = range(5)

# Columns of the state's ``lots``.
Z_FINISH, Z_LAST_RUN, Z_LEFT, STATE_LOT_COLUMNS = range(4)

# Columns of the state's ``runs``.
(
    R_OP,
    R_STATION,  # -1 is outside
    R_START,
    R_END,
    R_SETUP,
    R_WORK,
    R_PIECES,
    R_ARRIVED,
    R_READY,
    R_LOAD,
    R_AFTER,  # the run its pieces came from, or -1
    R_GUESS,
    R_UNDER_WAY,
    RUN_COLUMNS,
) = range(14)

# Columns of the state's ``jobs``.
J_OP, J_PIECES, J_ARRIVED, J_READY, J_AFTER, J_NEXT, J_BEFORE, JOB_COLUMNS = range(8)

# Places in ``State.numbers``.
(
    N_HEAP,
    N_RUNS,
    N_JOBS,
    N_LOADS,
    N_TROUBLE,
    N_AWAKE,
    N_ASIDE,
    N_PEOPLE,  # when people are asked for again, or FOREVER
    N_SHORT,  # 1: work waits for people
    N_SAME,  # until then as many people are there and busy as counted
    N_SETTERS_USED,
    N_TENDERS_USED,
    N_SETTERS,
    N_TENDERS,
    N_CREWS,  # until then nobody of the crews comes or goes
    N_REOPENS,  # the least of all Y_REOPENS
    N_SETUP,  # what ``measure`` found
    N_WORK,
    N_BASE,
    N_MIXED,
    N_PIECES,
    N_START,
    N_END,
    NUMBERS,
) = range(24)

# Events, in the order in which those of one second are dealt with.
E_READY, E_UNDER_WAY, E_CALL = range(3)

LOW_BITS, KIND_BITS, WHAT = 32, 30, (1 << 30) - 1
"""An entry of a queue is a rank with its operation in the bits behind it, an event a second with its kind and what it
is of; WHAT is what tells the last of these.
"""

TOO_FEW_SPANS, TOO_FEW_ROWS = 1, 2
"""Bits of N_TROUBLE: the calendars, or the rows for runs and jobs, must be made longer."""

LATER: Final = 2
"""Y_AWAKE of a station that is kept for a batch."""
NOT_NOW, NOT_LATER = -1, -2
"""Why a station cannot begin what waits: not at this second, or not later either unless it is set up otherwise."""
LOOK: Final = 20
"""A station looks at so many waiting operations that it cannot begin now, and at no more."""
FOREVER: Final = 1 << 60
NEVER_DUE: Final = 1 << 36
COOLINGS: Final = 1024
"""So many logarithms decide how much worse a move of a search may be."""
AS_PLANNED: Final = 1 << 16
"""The factors of a plan; a simulation draws others."""
# Places of the head of the shop's array: where each part begins, how many rows it has, and what stands alone.
(
    F_OPS,
    F_STATIONS,
    F_POOLS,
    F_LOTS,
    F_LOADS,
    F_RETURNS,
    F_ARRIVALS,
    F_CREWS,
    F_PRESENCES,
    F_CALENDARS,
    F_SPANS,  # of all calendars, one after another
    F_SINCE,  # from when which offset from UTC holds
    F_OFFSETS,
    F_WORKING,  # days of receiving, as local day numbers
    F_WORKING_END,
    F_RECEIVING,  # calendar
    F_NOW,
    F_PEOPLE,  # 1: people limit the work
    F_OPS_COUNT,
    F_STATIONS_COUNT,
    F_POOLS_COUNT,
    F_LOTS_COUNT,
    F_LOADS_COUNT,
    F_RETURNS_COUNT,
    F_ARRIVALS_COUNT,
    F_CREWS_COUNT,
    F_CALENDARS_COUNT,
    F_TASKS,  # the rest is of the state's array
    F_BENCHES,
    F_JOURNEYS,
    F_BINS,
    F_RUNS,
    F_JOBS,
    F_EVENTS,
    F_TRANSFERS,
    F_ASIDE,
    F_AWAKE,
    F_CLOCKS,  # of each calendar
    F_BY_RANK,  # the operation of each rank
    F_MOST_RUNS,
    F_MOST_EVENTS,
    F_MOST_TRANSFERS,
    F_MAKESPAN,  # the rest is of a shop whose plan is a list; 1: the last finish counts, not lateness
    F_STEPS,
    F_STEPS_COUNT,
    F_SOLES,  # what appending asks of each of its operations
    F_CHOICE,  # 1: some operation can be done at several stations
    F_MEAN_WORK,  # s
    F_JOURNEY_STEPS,  # its lots
    F_COURSE_STEPS,  # the rest is of the list's array
    F_COURSE_STATIONS,
    F_COURSE_LOTS,
    F_PLACES,
    F_TRIALS,  # the lot at each place of a list that is tried
    F_STARTS,  # when the next operation of each lot can start, or -1 where that is not reckoned
    F_SLOTS,
    F_SNAPSHOTS,
    HEAD,
) = range(58)

Packed = list[int]
"""The shop's array, which compiled kernels have as one of numpy's."""
State = list[int]
"""The state's array: what a decoder writes; it may be used again and again."""


Column = list[int]
"""Either of them."""


class Shop(NamedTuple):
    """A shop's array, and one for the state of its decoder."""

    fixed: Packed
    state: State
