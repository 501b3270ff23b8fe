"""Where the row of something begins, told its number, in the shop's array ``p`` or the state's array ``s``."""

from app.core.planning.arrays import (
    CALENDAR_COLUMNS,
    CREW_COLUMNS,
    F_ARRIVALS,
    F_BENCHES,
    F_CALENDARS,
    F_COURSE_LOTS,
    F_COURSE_STATIONS,
    F_COURSE_STEPS,
    F_CREWS,
    F_JOBS,
    F_JOURNEY_STEPS,
    F_JOURNEYS,
    F_LOADS,
    F_LOTS,
    F_OPS,
    F_PLACES,
    F_POOLS,
    F_PRESENCES,
    F_RETURNS,
    F_RUNS,
    F_SOLES,
    F_STATIONS,
    F_STATIONS_COUNT,
    F_STEPS,
    F_TRIALS,
    JOB_COLUMNS,
    LOT_COLUMNS,
    OP_COLUMNS,
    POOL_COLUMNS,
    PRESENCE_COLUMNS,
    RETURN_COLUMNS,
    RUN_COLUMNS,
    STATE_LOT_COLUMNS,
    STATE_STATION_COLUMNS,
    STATION_COLUMNS,
    UNDER_WAY_COLUMNS,
    Packed,
)
from app.core.planning.list_arrays import (
    COURSE_LOT_COLUMNS,
    COURSE_STATION_COLUMNS,
    COURSE_STEP_COLUMNS,
    JOURNEY_STEP_COLUMNS,
    PLACE_COLUMNS,
    SOLE_COLUMNS,
    STEP_COLUMNS,
)


def op_at(p: Packed, number: int) -> int:
    """Return where an operation begins in the shop's array."""
    return p[F_OPS] + number * OP_COLUMNS


def op_number(p: Packed, op: int) -> int:
    """Return the number of an operation."""
    return (op - p[F_OPS]) // OP_COLUMNS


def station_at(p: Packed, number: int) -> int:
    """Return where a station begins in the shop's array."""
    return p[F_STATIONS] + number * STATION_COLUMNS


def benches_end(p: Packed) -> int:
    """Return where the rows of the stations end in the state's array."""
    return p[F_BENCHES] + p[F_STATIONS_COUNT] * STATE_STATION_COLUMNS


def station_with(p: Packed, place: int) -> int:
    """Return the station in whose row of the state a place is."""
    return station_at(p, (place - p[F_BENCHES]) // STATE_STATION_COLUMNS)


def pool_at(p: Packed, number: int) -> int:
    """Return where a pool begins in the shop's array."""
    return p[F_POOLS] + number * POOL_COLUMNS


def lot_at(p: Packed, lot: int) -> int:
    """Return where a lot begins in the shop's array."""
    return p[F_LOTS] + lot * LOT_COLUMNS


def load_at(p: Packed, place: int) -> int:
    """Return where a job under way begins in the shop's array."""
    return p[F_LOADS] + place * UNDER_WAY_COLUMNS


def return_at(p: Packed, place: int) -> int:
    """Return where pieces that come back begins in the shop's array."""
    return p[F_RETURNS] + place * RETURN_COLUMNS


def arrival_at(p: Packed, place: int) -> int:
    """Return where a delivery begins in the shop's array."""
    return p[F_ARRIVALS] + place * RETURN_COLUMNS


def crew_at(p: Packed, crew: int) -> int:
    """Return where a crew begins in the shop's array."""
    return p[F_CREWS] + crew * CREW_COLUMNS


def presence_at(p: Packed, at: int) -> int:
    """Return where people who are together at a station begin in the shop's array."""
    return p[F_PRESENCES] + at * PRESENCE_COLUMNS


def calendar_at(p: Packed, number: int) -> int:
    """Return where a calendar begins in the shop's array."""
    return p[F_CALENDARS] + number * CALENDAR_COLUMNS


def journey_at(p: Packed, lot: int) -> int:
    """Return where a lot begins in the state's array."""
    return p[F_JOURNEYS] + lot * STATE_LOT_COLUMNS


def run_at(p: Packed, number: int) -> int:
    """Return where a run begins in the state's array."""
    return p[F_RUNS] + number * RUN_COLUMNS


def job_at(p: Packed, number: int) -> int:
    """Return where a job begins in the state's array."""
    return p[F_JOBS] + number * JOB_COLUMNS


def step_at(p: Packed, op: int) -> int:
    """Return where an operation of a list begins in the shop's array."""
    return p[F_STEPS] + op * STEP_COLUMNS


def sole_at(p: Packed, op: int) -> int:
    """Return where what appending asks of an operation of a list begins in the shop's array."""
    return p[F_SOLES] + op * SOLE_COLUMNS


def journey_steps_at(p: Packed, lot: int) -> int:
    """Return where a lot of a list begins in the shop's array."""
    return p[F_JOURNEY_STEPS] + lot * JOURNEY_STEP_COLUMNS


def course_at(p: Packed, op: int) -> int:
    """Return where an operation begins in a list's array."""
    return p[F_COURSE_STEPS] + op * COURSE_STEP_COLUMNS


def course_station_at(p: Packed, station: int) -> int:
    """Return where a station begins in a list's array."""
    return p[F_COURSE_STATIONS] + station * COURSE_STATION_COLUMNS


def course_lot_at(p: Packed, lot: int) -> int:
    """Return where a lot begins in a list's array."""
    return p[F_COURSE_LOTS] + lot * COURSE_LOT_COLUMNS


def place_at(p: Packed, place: int) -> int:
    """Return where a place of a list begins in its array."""
    return p[F_PLACES] + place * PLACE_COLUMNS


def trial_at(p: Packed, place: int) -> int:
    """Return where the lot at a place of a list that is tried is in its array."""
    return p[F_TRIALS] + place
