"""Hypothesis strategies for any small shop: every way of taking pieces, every state of them, on any calendar."""

from datetime import UTC, date, datetime

from hypothesis import strategies as st

from app.core.calendar_hours import Downtime
from app.core.shop import (
    Arrival,
    BarFed,
    Batch,
    Crew,
    LeadTime,
    Lot,
    NotBefore,
    OpenJob,
    Operation,
    OverClosed,
    PalletLoad,
    Purchase,
    Shop,
    SinglePiece,
    Station,
)
from app.core.worktime import Span
from tests.core.reckoning import QUARTER
from tests.core.shops import DAY, HOUR, calendar

CENTERS = ("mill", "lathe", "tumbler")
BEFORE_A_CHANGE_OF_CLOCKS = [
    int(datetime(2026, 3, 6, 15, tzinfo=UTC).timestamp()),  # Friday morning in Chicago
    int(datetime(2026, 10, 30, 22, tzinfo=UTC).timestamp()),
]
WEEKS = [
    [("06:00", "14:00")],
    [("06:00", "14:00"), ("14:00", "22:30")],
    [("22:00", "06:00")],
    [("00:00", "00:00")],
    [("07:00", "11:30"), ("12:15", "15:30")],
]


@st.composite
def calendars(draw, now):
    """Return a calendar of whole quarters of an hour around ``now``."""
    quarters = st.integers(0, 6 * 96)
    spans = draw(st.lists(st.tuples(quarters, st.integers(1, 96)), max_size=2))
    down = [Downtime(now + first * QUARTER, now + (first + length) * QUARTER, guess=True) for first, length in spans]
    extra = [Span(now + first * QUARTER, now + (first + 8) * QUARTER) for first in draw(st.lists(quarters, max_size=2))]
    return calendar(
        *draw(st.sampled_from(WEEKS)),
        days=draw(st.sampled_from([range(5), range(7), [0, 2, 5, 6]])),
        zone="America/Chicago",
        closed_days=frozenset(draw(st.sets(st.sampled_from([date(2026, 3, 9), date(2026, 11, 1)])))),
        overtime=tuple(Span(start - start % QUARTER, end - end % QUARTER) for start, end in extra),
        downtimes=tuple(Downtime(one.start - one.start % QUARTER, one.end - one.end % QUARTER, True) for one in down),
    )


SECONDS_MS = st.integers(1, 40).map(lambda minutes: minutes * 61_003)
HANDLING_MS = st.integers(0, 9).map(lambda minutes: minutes * 60_000)
TAKINGS = st.one_of(
    st.builds(SinglePiece, SECONDS_MS),
    st.builds(PalletLoad, st.integers(1, 4), SECONDS_MS, HANDLING_MS, HANDLING_MS),
    st.builds(BarFed, st.integers(1, 5), SECONDS_MS, HANDLING_MS),
)
BATCHES = st.builds(
    Batch,
    st.sampled_from(["deburr", "polish"]),
    st.just(3_600_000),
    max_pieces=st.none() | st.integers(4, 12),
    max_weight_g=st.none() | st.integers(3_000, 9_000),
    piece_weight_g=st.integers(1, 3_000),
    wait_s=st.sampled_from([0, 0, HOUR, DAY]),
)


@st.composite
def open_jobs(draw, now, stations, taking):
    """Return at most one job in work at each of the stations."""
    jobs = []
    for station in stations:
        if draw(st.integers(0, 3)) == 0:
            started = now - draw(st.integers(0, 30 * HOUR))
            worked = draw(st.none() | st.integers(0, 4 * HOUR))
            load = draw(st.sampled_from([None, f"load at {station.key}"])) if isinstance(taking, Batch) else None
            needed = draw(st.sampled_from([None, 0, 300]))
            pieces, in_setup = draw(st.integers(1, 4)), draw(st.booleans())
            counted = draw(st.sampled_from([0, 0, 1, 7]))
            jobs.append(OpenJob(station.key, pieces, started, in_setup, worked, load, needed, counted))
    return tuple(jobs)


@st.composite
def operations(draw, now, stations, key, before=()):
    """Return an operation that the stations can do, or one that needs none; it may wait for lots ``before`` its own."""
    center = draw(st.sampled_from(sorted({station.work_center for station in stations})))
    waiting = draw(st.sampled_from([0, 0, 1, 5]))
    if draw(st.integers(0, 7)) == 0:
        return Operation(key, "", LeadTime(draw(st.integers(0, 5)), draw(st.booleans())), waiting=waiting)
    taking = draw(BATCHES if center == "tumbler" else TAKINGS)
    return Operation(
        key,
        center,
        taking,
        setup_s=draw(st.sampled_from([0, 600, 3_601])),
        family=draw(st.sampled_from(["", "a", "b"])),
        stations=draw(st.sampled_from([(), (draw(st.sampled_from(stations)).key,)])) if center != "tumbler" else (),
        waiting=waiting,
        counted=draw(st.sampled_from([0, 0, 2])),
        held=draw(st.sampled_from([0, 0, 0, 0, 0, 3])),
        open_jobs=draw(open_jobs(now, [one for one in stations if one.work_center == center], taking)),
        send_ahead=draw(st.sampled_from([None, None, 1, 3])),
        not_before=draw(st.sampled_from([None, None, None, NotBefore(now + DAY, "bracket"), NotBefore(None, "bolt")])),
        fixture=draw(st.sampled_from(["", "vise", "plate"])),
        fixture_setup_s=draw(st.sampled_from([None, 0, 300])),
        tend_permille=draw(st.sampled_from([0, 0, 250, 1000])),
        split=draw(st.sampled_from([1, 1, 2, 3])),
        components=draw(st.sampled_from([(), (), (), *((earlier,) for earlier in before)])),
        rank=draw(st.none() | st.integers(0, 9)),
        waited_s=draw(st.sampled_from([0, 0, 2 * HOUR])),
    )


@st.composite
def lots(draw, now, stations, key, before=()):
    """Return a lot that may begin with blanks on order, and wait for lots ``before`` it."""
    steps = [draw(operations(now, stations, str(10 * n), before)) for n in range(1, draw(st.integers(1, 4)) + 1)]
    if draw(st.booleans()):
        arrivals = st.builds(Arrival, st.integers(now - DAY, now + 3 * DAY), st.integers(1, 5), st.booleans())
        bought = Purchase(tuple(draw(st.lists(arrivals, max_size=3))))
        steps.insert(0, Operation("5", "", bought, waiting=draw(st.integers(0, 9))))
    return Lot(
        key,
        key,
        tuple(steps),
        released=draw(st.integers(0, 2)),
        due=draw(st.none() | st.integers(0, 3)),
        pinned=draw(st.sampled_from([None, None, None, 1, 2])),
        rush=draw(st.booleans()),
        hold=draw(st.sampled_from([None] * 9 + ["customer asked"])),
        weight=draw(st.sampled_from([1, 1, 4])),
    )


@st.composite
def crews(draw, hours):
    """Return the people of some shifts, at times none who sets up or tends; None where people do not limit."""
    if draw(st.booleans()):
        return None
    few = st.integers(0, 2)
    return tuple(Crew(draw(st.sampled_from(hours)), draw(few), draw(few)) for _ in range(draw(st.integers(1, 3))))


@st.composite
def shops(draw, lots_at_most=6, *, all_can_be_done=False):
    """Return a shop of up to five stations and some lots.

    Where ``all_can_be_done`` people do not limit the work and nothing must fit into the open hours.
    """
    now = draw(st.sampled_from(BEFORE_A_CHANGE_OF_CLOCKS)) + draw(st.integers(0, HOUR))
    hours = [draw(calendars(now)) for _ in range(2)]
    ways = [way for way in OverClosed if way is not OverClosed.FIT or not all_can_be_done]
    stations = tuple(
        Station(
            f"{center} {number}",
            center,
            draw(st.sampled_from(hours)),
            pallets=draw(st.integers(1, 2)),
            pallet_change_ms=draw(HANDLING_MS),
            set_up_for=draw(st.sampled_from([None, "a"])),
            set_up_fixture=draw(st.sampled_from([None, "vise"])),
            over_closed=draw(st.sampled_from(ways)),
            unattended_s=draw(st.integers(0, 9 * HOUR)),
            pace=draw(st.sampled_from([100, 100, 70, 130])),
        )
        for center in CENTERS
        for number in range(1, draw(st.integers(1, 2)) + 1)
    )
    keys = [f"L{number}" for number in range(draw(st.integers(1, lots_at_most)))]
    orders = tuple(draw(lots(now, stations, key, keys[:number])) for number, key in enumerate(keys))
    return Shop(now, stations, orders, hours[0], None if all_can_be_done else draw(crews(hours)))
