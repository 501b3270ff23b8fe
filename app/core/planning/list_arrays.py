"""The arrays of a shop whose plan is a list: rows behind those of ``arrays``, and those of the list's own array."""

from typing import Final

# Columns of the operations of a shop whose plan is a list, and of their options: stations that can do it.
(
    A_LOT,
    A_SETUP,
    A_FAMILY,
    A_FIXTURE,
    A_FIXTURE_SETUP,
    A_OPTIONS,
    A_OPTIONS_END,
    A_WORK,  # at the first of its stations, s
    A_REMAINING,  # the same with all that follows in the lot
    A_VALUE,  # millionths of the logarithm of weight by work
    STEP_COLUMNS,
) = range(11)

# Columns of what appending asks of each, apart so that it is read from memory at once.
(
    T_STATION,  # its only station, where it takes T_TIME whatever it follows and work only pauses; or -1
    T_TIME,
    T_LAST_SPAN,  # the span after the last of that station's hours
    T_NOT_BEFORE,
    SOLE_COLUMNS,
) = range(5)
V_STATION, V_WORK, OPTION_COLUMNS = range(3)

# Columns of its lots.
W_FIRST, W_END, W_DUE, W_WEIGHT, JOURNEY_STEP_COLUMNS = range(5)

# Columns of a list's array: by operation; by station; by lot; by place.
G_START, G_END, G_STATION, G_BEFORE, COURSE_STEP_COLUMNS = range(5)
# G_BEFORE: the operation before it at its station, or -1.
H_FREE, H_LAST, H_SPAN, COURSE_STATION_COLUMNS = range(4)
# H_SPAN: the span of its hours in which it is free, or one before.
I_NEXT, I_READY, COURSE_LOT_COLUMNS = range(3)
# I_NEXT: the operation that comes next, or one behind its last.
D_LOT, D_STEP, D_BEST, PLACE_COLUMNS = range(4)
# The lot there and its operation; that of the best list so far.
X_KEPT, X_TRIED, SLOT_COLUMNS = range(3)
# Where a snapshot is, and the one of a list that is tried.
B_COST, B_STATE = range(2)
# In a snapshot: the cost so far, then the stations and the lots.

STRETCH: Final = 64
"""There is a snapshot before every so many places of a list; a power of two."""

# Rules of dispatch; those from ATC on have a factor.
BY_ARRIVAL, BY_DUE, BY_WORK, BY_SLACK, BY_RATIO, BY_VALUE, BY_REMAINING, BY_COST = range(8)

# Places at the beginning of a list's array.
(
    M_SEED,
    M_COST,
    M_BEST,
    M_START,  # of what was appended last: when it starts, the span in which it ends, its station, the one before or -1
    M_SPAN,
    M_STATION,
    M_BEFORE,
    M_FIRST,  # a trial's first and last place that differ from the list
    M_LAST,
    M_UNTIL,  # its snapshot from which on all is as it was
    M_NUMBERS,
) = range(11)
