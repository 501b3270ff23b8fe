"""What is uncertain as an array: its columns, read by the kernels. Tables of values come first, ascending."""

from typing import Final

# Places of the head.
(
    D_OPS,
    D_STATIONS,
    D_STATIONS_COUNT,
    D_LOADS,  # one row for each of the shop's under_way
    D_RETURNS,  # one row for each of the shop's returns
    D_ARRIVALS,  # one row for each of the shop's arrivals
    D_ARRIVALS_COUNT,
    D_NEW,  # numbers of the lots that stand for new orders, in the order in which they come
    D_NEW_COUNT,
    D_NEW_GAP,  # mean seconds between two
    D_NEW_UNTIL,  # none comes after it
    D_TOGETHER,  # table of what is common to all times
    D_TOGETHER_SIZE,
    D_EXPONENTIAL,  # table with mean 1
    D_EXPONENTIAL_SIZE,
    D_DOWN,  # room for the breakdowns of one station, start and end
    HEAD,
) = range(17)

# Columns of operations.
(
    W_KEY,
    W_SETUP,
    W_SETUP_SIZE,
    W_CYCLE,
    W_CYCLE_SIZE,
    W_CYCLE_KEY,  # that of the recipe for batches, so that they stay alike
    W_DAYS,  # table of days late, for work elsewhere
    W_DAYS_SIZE,
    W_SCRAP,  # chance for each piece, in parts of CHANCE
    OP_DRAWS,
) = range(10)

# Columns of stations that break down.
(
    B_STATION,
    B_KEY,
    B_MEAN,  # attended seconds between two breakdowns
    B_REPAIRS,  # table of seconds
    B_REPAIRS_SIZE,
    B_ATTENDED,  # the calendars without breakdowns
    B_RUNNING,
    B_UNTIL,
    STATION_DRAWS,
) = range(9)

# Columns of loads under way: seconds of the planned work in all, and of those done.
V_WORK, V_DONE, LOAD_DRAWS = range(3)

# Columns of what comes from outside.
(
    A_KEY,
    A_DAYS,  # table of days late
    A_DAYS_SIZE,
    A_TIME,  # as planned, also when that is past
    A_OVERDUE,  # whole days that it is late already, or -1
    OUTSIDE_DRAWS,
) = range(6)

# Kinds of draw, within the stream of an operation, a station or a delivery.
K_SETUP, K_CYCLE, K_LOST, K_DAYS, K_UNDER_WAY, K_PAST = range(6)

TOGETHER_KEY, NEW_KEY = 1, 2
"""Keys of the streams that belong to no operation."""

MOST_BREAKDOWNS: Final = 64
"""More breakdowns of one station in one replication are not drawn."""
