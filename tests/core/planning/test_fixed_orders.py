"""With station, order and runs fixed and people not limiting, better conditions make nothing later.

For dispatching this need not hold: tests/published/test_scheduling_tardiness.py keeps Graham's anomaly.
"""

from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.core.planning import variations
from app.core.planning.decoding import FIRST_DAYS
from app.core.planning.list_plan import plan_of_list
from app.core.planning.listing import as_line
from app.core.planning.packing import pack
from app.core.shop import BarFed, NotBefore, OverClosed, PalletLoad, Shop, SinglePiece
from app.core.worktime import Span
from tests.core.planning.generated import WEEKS
from tests.core.shops import DAY, HOUR, at, calendar, lot, operation, shop, station

ANY_ORDER = settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
CENTERS = ("mill", "lathe", "saw")
TAKINGS = st.one_of(
    st.builds(SinglePiece, st.integers(1_000, 900_000)),
    st.builds(BarFed, st.integers(1, 5), st.integers(1_000, 600_000), st.integers(0, 300_000)),
    st.builds(PalletLoad, st.integers(1, 6), st.integers(60_000, 900_000), st.integers(0, 300_000)),
)
STATIONS = [
    st.builds(
        lambda week, over, alone, pace, center=center: station(
            center, center, calendar=calendar(*week), over_closed=over, unattended_s=alone, pace=pace
        ),
        st.sampled_from(WEEKS),
        st.sampled_from(OverClosed),
        st.integers(0, 6 * HOUR),
        st.sampled_from([80, 100, 150]),
    )
    for center in CENTERS
]


@st.composite
def operations(draw, pieces):
    """Draw the operations of one lot; all its pieces wait at the first."""
    made = []
    for place in range(draw(st.integers(1, 3))):
        waits = NotBefore(at(draw(st.integers(0, 4_000))), "bolts") if draw(st.booleans()) else None
        made.append(
            operation(
                str(10 * place + 10),
                draw(TAKINGS),
                draw(st.sampled_from(CENTERS)),
                setup=draw(st.integers(0, 90)),
                family=draw(st.sampled_from(["", "a", "b"])),
                waiting=0 if made else pieces,
                not_before=waits,
            )
        )
    return made


@st.composite
def lots(draw, key):
    """Draw a lot."""
    steps = draw(operations(draw(st.integers(1, 12))))
    return lot(key, *steps, released=at(draw(st.integers(-500, 3_000))))


@st.composite
def ordered_shops(draw):
    """Draw a shop with one station a work center, and the order in which operations come to their stations."""
    made = [draw(lots(f"L{number}")) for number in range(draw(st.integers(1, 5)))]
    turns = [one.key for one in made for _ in one.operations]
    return shop([draw(each) for each in STATIONS], *made), draw(st.permutations(turns))


def ends(given_shop: Shop, turns) -> dict[tuple[str, int], int]:
    """Return when each operation ends when operations come to their stations in an order."""
    packing = pack(given_shop, FIRST_DAYS)
    line = as_line(packing, makespan=False)
    assert line is not None
    places = {one.key: place for place, one in enumerate(packing.lots)}
    return {(run.lot, run.index): run.end for run in plan_of_list(line, [places[key] for key in turns]).operations}


def quicker(data, before: Shop) -> Shop:
    """Return the shop with one operation that takes less time."""
    chosen = data.draw(st.sampled_from(before.lots))
    step = data.draw(st.sampled_from(chosen.operations))
    cycle = data.draw(st.integers(1, step.taking.cycle_ms))
    return variations.with_operation(
        before, chosen.key, step.key, taking=replace(step.taking, cycle_ms=cycle), setup_s=step.setup_s // 2
    )


def open_longer(data, before: Shop) -> Shop:
    """Return the shop with overtime at one station."""
    start = at(data.draw(st.integers(0, 8_000)))
    key = data.draw(st.sampled_from([each.key for each in before.stations]))
    return variations.with_overtime(before, key, Span(start, start + data.draw(st.integers(60, 2 * DAY))))


def sooner(data, before: Shop) -> Shop:
    """Return the shop with one lot whose blanks and components are there sooner."""
    days = data.draw(st.integers(1, 3)) * DAY

    def change(found):
        steps = (
            replace(each, not_before=replace(each.not_before, time=each.not_before.time - days))
            if each.not_before
            else each
            for each in found.operations
        )
        return replace(found, released=found.released - days, operations=tuple(steps))

    return variations.with_lot(before, data.draw(st.sampled_from(before.lots)).key, change)


@ANY_ORDER
@given(ordered_shops(), st.sampled_from([quicker, open_longer, sooner]), st.data())
def test_shorter_times_longer_hours_and_sooner_blanks_make_no_operation_later(ordered, better, data):
    before, turns = ordered
    after = ends(better(data, before), turns)
    assert all(after[key] <= end for key, end in ends(before, turns).items())


@ANY_ORDER
@given(ordered_shops(), lots("last"))
def test_a_lot_that_comes_last_at_every_station_changes_no_other(ordered, last):
    before, turns = ordered
    longer = replace(before, lots=(*before.lots, last))
    after = ends(longer, [*turns, *("last" for _ in last.operations)])
    assert {key: end for key, end in after.items() if key[0] != "last"} == ends(before, turns)
