"""Orders of work whose value is published, carried out by the forecast: by due date, by hand-set pins, in transfers."""

from itertools import permutations

import pytest

from app.core.planning.forecasts import forecast
from tests.core.shops import at, lot, minutes, operation, shop, single, station

# S. M. Johnson, Optimal two- and three-stage production schedules with setup times included, Naval Research Logistics
# Quarterly 1 (1954) 61-68: five jobs on two machines; from memory, and recomputed over all 120 orders.
JOHNSON = {1: (4, 5), 2: (4, 1), 3: (30, 4), 4: (6, 30), 5: (2, 3)}

# M. Pinedo, Scheduling: Theory, Algorithms, and Systems, example 3.3.3: five jobs on one machine, (time, due).
PINEDO = {1: (7, 9), 2: (8, 17), 3: (4, 18), 4: (6, 19), 5: (6, 21)}


def makespan_of(order):
    """Pin the jobs in this order, first machine then second."""
    lots = [
        lot(
            str(job),
            operation("A", single(JOHNSON[job][0]), "A", waiting=1),
            operation("B", single(JOHNSON[job][1]), "B"),
            pinned=n,
        )
        for n, job in enumerate(order)
    ]
    planned = forecast(shop([station("A", "A"), station("B", "B")], *lots))
    return max(minutes(one.finish) or 0 for one in planned.lots.values())


def finishes(pins=None):
    """Return when each of Pinedo's jobs ends on one station, by due date or in a pinned order."""
    lots = [
        lot(
            str(job),
            operation("10", single(time), waiting=1),
            due=at(due),
            pinned=None if pins is None else pins.index(job),
        )
        for job, (time, due) in PINEDO.items()
    ]
    planned = forecast(shop([station("A")], *lots)).lots
    return {job: minutes(planned[str(job)].finish) or 0 for job in PINEDO}


def late_jobs(ends):
    return [job for job, end in ends.items() if end > PINEDO[job][1]]


def moore_hodgson(jobs):
    """Return the least possible number of late jobs (J. M. Moore, Management Science 15 (1968) 102-109)."""
    kept: list[int] = []
    for time, due in sorted(jobs.values(), key=lambda job: job[1]):
        kept.append(time)
        if sum(kept) > due:
            kept.remove(max(kept))
    return len(jobs) - len(kept)


def test_johnsons_order_takes_47_and_its_reverse_78():
    assert makespan_of([5, 1, 4, 3, 2]) == 47
    assert makespan_of([2, 3, 4, 1, 5]) == 78


def test_no_order_of_johnsons_jobs_is_better_than_his():
    assert min(makespan_of(order) for order in permutations(JOHNSON)) == 47


def test_by_due_date_the_greatest_lateness_is_10_which_is_the_least_possible():
    """J. R. Jackson, Scheduling a production line to minimize maximum tardiness, UCLA research report 43 (1955)."""
    ends = finishes()
    assert max(end - PINEDO[job][1] for job, end in ends.items()) == 10
    assert (
        min(max(end - PINEDO[job][1] for job, end in finishes(order).items()) for order in permutations(PINEDO)) == 10
    )


def test_by_due_date_no_fewer_jobs_are_late_than_must_be():
    assert moore_hodgson(PINEDO) == 2
    assert len(late_jobs(finishes())) >= 2


def test_pinned_in_the_order_of_moore_and_hodgson_two_jobs_are_late():
    assert sorted(late_jobs(finishes([3, 4, 5, 1, 2]))) == [1, 2]
    assert min(len(late_jobs(finishes(order))) for order in permutations(PINEDO)) == 2


# W. E. Smith, Various optimizers for single-stage production, Naval Research Logistics Quarterly 3 (1956) 59-66.


def test_pinned_shortest_first_the_finishes_add_up_to_the_least_possible():
    shortest_first = sorted(PINEDO, key=lambda job: PINEDO[job][0])
    assert sum(finishes(shortest_first).values()) == 84
    assert min(sum(finishes(order).values()) for order in permutations(PINEDO)) == 84


def test_pinned_by_weight_over_time_the_weighted_finishes_add_up_to_the_least_possible():
    """Weights are ours; the least is found by trying all orders."""
    weights = {1: 3, 2: 9, 3: 1, 4: 4, 5: 5}

    def weighted_sum(order):
        return sum(weights[job] * end for job, end in finishes(order).items())

    by_weight_over_time = sorted(PINEDO, key=lambda job: -weights[job] / PINEDO[job][0])
    assert weighted_sum(by_weight_over_time) == min(weighted_sum(order) for order in permutations(PINEDO))


@pytest.mark.parametrize(
    ("pieces", "cycles", "transfer", "span"),
    [
        (60, (1, 4, 2), 60, 420),
        (60, (1, 4, 2), 20, 300),
        (60, (1, 4, 2), 1, 243),
        (100, (2, 3), 100, 500),
        (100, (2, 3), 20, 340),
        (100, (2, 3), 1, 302),
        (100, (3, 2), 20, 340),
        (100, (3, 2), 1, 302),
    ],
)
def test_pieces_sent_ahead_in_equal_transfers_take_the_span_of_szendrovits(pieces, cycles, transfer, span):
    """A. Z. Szendrovits, Manufacturing cycle time determination for a multi-stage economic production quantity model.

    Management Science 22 (1975) 298-308: transfer times all cycles, and the longest for the pieces after the first
    transfer. From memory, and recomputed by simulation.
    """
    steps = [
        operation(str(n), single(cycle), str(n), waiting=pieces if n == 0 else 0, send_ahead=transfer)
        for n, cycle in enumerate(cycles)
    ]
    planned = forecast(shop([station(str(n), str(n)) for n in range(len(cycles))], lot("L", *steps)))
    assert minutes(planned.lots["L"].finish) == span
