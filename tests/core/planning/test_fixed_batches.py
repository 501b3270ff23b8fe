"""With the lots of each batch fixed and people not limiting, better conditions make no operation later.

Each group of lots has an oven to itself and blanks that are expected from now on, and its batch may wait for all of
them, so that every plan has the same batches in the same order.
"""

from dataclasses import replace

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.core.plan_check import check
from app.core.planning import variations
from app.core.shop import Arrival, Batch, OverClosed, Purchase
from app.core.worktime import Span
from tests.core.planning.generated import WEEKS
from tests.core.planning.plans import plan
from tests.core.shops import DAY, HOUR, MINUTE, at, calendar, lot, operation, shop, single, station

HOURS = st.builds(lambda week: calendar(*week, days=range(7)), st.sampled_from(WEEKS))


@st.composite
def batches(draw, name):
    """Draw an oven, a bench behind it, and the lots that share the oven's only batch."""
    sizes = draw(st.lists(st.integers(1, 5), min_size=1, max_size=3))
    baking = Batch(name, draw(st.integers(1, 240)) * 60_000, max_pieces=sum(sizes), wait_s=1_000 * DAY)
    setup, cycle = draw(st.integers(0, 30)), draw(st.integers(1, 30))
    made = [
        lot(
            f"{name}{number}",
            operation("5", Purchase((Arrival(at(draw(st.integers(0, 6_000))), pieces),)), "", waiting=pieces),
            operation("10", baking, f"oven {name}", setup=setup),
            operation("20", single(cycle), f"bench {name}"),
            pinned=number,
        )
        for number, pieces in enumerate(sizes)
    ]
    over, alone = draw(st.sampled_from([OverClosed.PAUSE, OverClosed.UNATTENDED])), draw(st.integers(0, 4 * HOUR))
    oven = station(f"oven {name}", f"oven {name}", calendar=draw(HOURS), over_closed=over, unattended_s=alone)
    return [oven, station(f"bench {name}", f"bench {name}", calendar=draw(HOURS))], made


def open_longer(data, before):
    key = data.draw(st.sampled_from([each.key for each in before.stations]))
    start = at(data.draw(st.integers(0, 8_000)))
    return variations.with_overtime(before, key, Span(start, start + data.draw(st.integers(MINUTE, 2 * DAY))))


def quicker(data, before):
    """Return the shop with shorter batches of one recipe."""
    recipe = data.draw(st.sampled_from([each.operations[1].taking.recipe for each in before.lots]))
    percent = data.draw(st.integers(1, 100))

    def change(one):
        first, baked, last = one.operations
        if baked.taking.recipe != recipe:
            return one
        shorter = replace(baked.taking, time_ms=baked.taking.time_ms * percent // 100)
        return replace(one, operations=(first, replace(baked, taking=shorter), last))

    return replace(before, lots=tuple(map(change, before.lots)))


def sooner(data, before):
    """Return the shop with the blanks of one lot expected sooner."""
    chosen = data.draw(st.sampled_from(before.lots))
    ((arrival,),) = [chosen.operations[0].taking.arrivals]
    taking = Purchase((replace(arrival, time=arrival.time - data.draw(st.integers(1, 3 * DAY))),))
    return variations.with_operation(before, chosen.key, "5", taking=taking)


def loads(found):
    """Return which lots are in each batch."""
    shared = {}
    for run in found.operations:
        if run.index == 1:
            shared.setdefault(run.load, set()).add(run.lot)
    return sorted(map(sorted, shared.values()))


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(batches("a"), batches("b"), st.sampled_from([open_longer, quicker, sooner]), st.data())
def test_shorter_times_longer_hours_and_sooner_blanks_make_no_shared_batch_later(one, other, better, data):
    before = shop([*one[0], *other[0]], *one[1], *other[1])
    after = better(data, before)
    found, then = plan(before), plan(after)
    assert (check(before, found), check(after, then)) == ((), ())
    assert loads(found) == loads(then) == [sorted(each.key for each in made) for _, made in (one, other)]
    baked = {(run.lot, run.index): run.end for run in found.operations if run.index == 1}
    assert all(run.end <= baked[run.lot, 1] for run in then.operations if run.index == 1)
    assert all(now.finish <= past.finish for now, past in zip(then.lots, found.lots, strict=True))
