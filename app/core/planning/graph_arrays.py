"""The array of a job graph: what the kernels of the tabu search read and write.

Each operation is a node: a row of the columns below. Links between nodes are the places of their rows; behind the last
node stands one of no time, which a link leads to where there is nothing. Heads are times from the problem's ``now``,
tails the time that must follow the end of a node, both in seconds.
"""

from typing import Final

# Columns of nodes; those that a search reads most stand together.
(
    T_RELEASE,
    T_LOT_BEFORE,  # links in its lot, and at its station
    T_BEFORE,
    T_READY,  # when what it waits for ends
    T_HEAD,  # longest way to its start
    T_END,  # the same with its own time
    T_SPAN,  # the span of its station's hours in which it ends, or one before
    T_TIME,  # with all of its set-up
    T_LOT_AFTER,
    T_AFTER,
    T_AT,  # its place in the order
    T_DUE,  # of its lot, where it is the last one; NEVER_DUE elsewhere
    T_WEIGHT,
    T_LAST_SPAN,  # the span after the last of its station's hours
    T_STATION,
    T_STEP,  # its operation in the list
    T_LOT,
    T_TAIL,  # longest way from its end
    T_FROM,  # the same with its own time
    T_TRIAL,  # its head after a move that is reckoned
    T_NUMBER,  # among the nodes of its station
    T_FORBIDDEN,  # until when it must not go before each other node of its station
    NODE_COLUMNS,
) = range(23)

# Places of the head of the array.
(
    GH_NODES,
    GH_COUNT,
    GH_STATIONS,
    GH_WIDTH,  # most nodes of a station
    GH_ORDER,  # the nodes, each behind those that it waits for
    GH_SCRATCH,
    GH_PATH,
    GH_LASTS,  # the last node of each lot
    GH_LOTS,
    GH_TAILS,  # the last node of each station
    GH_KEPT,  # the nodes in the order of the best plan since the last begin
    GH_SEED,
    GH_ROUND,  # moves made so far
    GH_COST,
    GH_BEST,  # of the plan that is kept
    GH_BOUND,  # no plan costs less
    GH_TENURE,  # how long a move is not undone, at least
    GH_MOVE_FROM,  # the move chosen: a node goes behind another, or before it when GH_MOVE_LATER is 0
    GH_MOVE_TO,
    GH_MOVE_LATER,
    GH_MOVE_COST,
    GH_MOVE_TIES,
    GH_ANY_FROM,  # one of the moves that are forbidden, if there is no other
    GH_ANY_TO,
    GH_ANY_LATER,
    GH_ANY_TIES,
    GH_NOTES,  # what a move has changed, to turn it back: rows of the columns below
    GH_NOTES_COUNT,
    GH_SAVED,  # the stretch of the order that it changed
    GH_MARKS,  # 1 for each place of a node whose times must be reckoned anew
    GH_FIRST_MARK,
    GH_LAST_MARK,
    GH_TIMES,  # what times depend on, as below
    GRAPH_HEAD,
) = range(34)

# Columns of what a move has changed.
Y_NODE, Y_READY, Y_HEAD, Y_END, Y_SPAN, NOTE_COLUMNS = range(6)

PLAIN_TIMES, IN_HOURS, IN_CONTEXT = range(3)
"""Times are always the same; or work pauses while stations are closed; or set-ups or beginnings depend on more."""

Graph = list[int]
"""The array, which compiled kernels have as one of numpy's."""

NO_MOVE: Final = 1 << 60
TOO_LATE: Final = 1 << 40
"""When what the calendars do not hold ends."""
