"""Orders of work whose tardiness, span or anomaly is published, carried out by the decoder, proved by the checker."""

from itertools import permutations

import pytest

from app.core.plan_check import check
from tests.core.planning.plans import plan
from tests.core.shops import at, lot, operation, shop, single, station

# M. Pinedo, Scheduling: Theory, Algorithms, and Systems, chapter 3: one machine, jobs as (time, due, weight). The least
# total tardiness of the first is 370, the least total weighted tardiness of the second 408. Tried over all orders here.
TOTAL = [(121, 260, 1), (79, 266, 1), (147, 266, 1), (83, 336, 1), (130, 337, 1)]
WEIGHTED = [(10, 4, 14), (10, 2, 12), (13, 1, 1), (4, 12, 12)]


def one_machine(jobs, order):
    """Return the jobs on one machine, pinned in an order."""
    lots = [
        lot(str(n), operation("10", single(time), waiting=1), due=at(due), weight=weight, pinned=order.index(n))
        for n, (time, due, weight) in enumerate(jobs)
    ]
    return shop([station("M")], *lots)


@pytest.mark.parametrize(("jobs", "least"), [(TOTAL, 370), (WEIGHTED, 408)])
def test_the_best_order_of_pinedos_jobs_has_the_tardiness_he_gives(jobs, least):
    found = {}
    for order in permutations(range(len(jobs))):
        case = one_machine(jobs, order)
        found[order] = plan(case)
        assert check(case, found[order]) == ()
    assert min(one.weighted_tardiness for one in found.values()) == least * 60


# S. M. Johnson, Naval Research Logistics Quarterly 1 (1954) 61-68: the rule. The jobs are those of a textbook's
# bookbinder (print, bind); 460 is the least over all 5040 orders. The eleven jobs are a worked example, its span 269.
BOOKBINDER = [(20, 25), (90, 60), (80, 75), (20, 30), (120, 90), (15, 35), (65, 50)]
ELEVEN = [
    *[(30, 10), (18, 20), (28, 12), (22, 14), (46, 24), (16, 26)],
    *[(20, 32), (5, 6), (15, 20), (25, 10), (34, 25)],
]


def johnsons_order(jobs):
    """First those shorter on the first machine, shortest first; then the others, longest on the second first."""
    numbered = list(enumerate(jobs))
    early = sorted((first, n) for n, (first, second) in numbered if first < second)
    late = sorted((-second, n) for n, (first, second) in numbered if first >= second)
    return [n for _, n in (*early, *late)]


def span(jobs, order):
    """Reckon the span of two machines by hand."""
    first = second = 0
    for n in order:
        first += jobs[n][0]
        second = max(first, second) + jobs[n][1]
    return second


@pytest.mark.parametrize(("jobs", "least"), [(BOOKBINDER, 460), (ELEVEN, 269)])
def test_johnsons_order_has_the_span_published(jobs, least):
    order = johnsons_order(jobs)
    lots = [
        lot(
            str(n),
            operation("A", single(jobs[n][0]), "A", waiting=1),
            operation("B", single(jobs[n][1]), "B"),
            pinned=place,
        )
        for place, n in enumerate(order)
    ]
    case = shop([station("A", "A"), station("B", "B")], *lots)
    found = plan(case)
    assert check(case, found) == ()
    assert found.makespan == least * 60 == span(jobs, order) * 60


def test_no_order_of_the_bookbinders_jobs_is_shorter():
    assert min(span(BOOKBINDER, order) for order in permutations(range(len(BOOKBINDER)))) == 460


# R. L. Graham, Bounds on multiprocessing timing anomalies, SIAM Journal on Applied Mathematics 17 (1969) 416-429: nine
# tasks on three machines, the ninth after the first, the fifth to the eighth after the fourth, take 12; one machine
# more makes it 15, a unit less for each task 13, fewer tasks to wait for 16. From memory, and followed by hand.
GRAHAM = {1: 3, 2: 2, 3: 2, 4: 2, 5: 4, 6: 4, 7: 4, 8: 4, 9: 9}
AFTER = {9: 1, 5: 4, 6: 4, 7: 4, 8: 4}


def graham(machines=3, *, less=0, after=AFTER):
    """Return the span of his tasks, taken in the order of their numbers."""
    lots = [
        lot(
            str(task),
            operation("10", single(time - less), waiting=1, components=(str(after[task]),) if task in after else ()),
            pinned=task,
        )
        for task, time in GRAHAM.items()
    ]
    case = shop([station(f"M{n}") for n in range(machines)], *lots)
    found = plan(case)
    assert check(case, found) == ()
    return found.makespan / 60


def test_dispatching_may_take_longer_with_more_machines_less_work_or_less_to_wait_for():
    assert graham() == 12
    assert graham(machines=4) == 15
    assert graham(less=1) == 13
    assert graham(after={9: 1, 7: 4, 8: 4}) == 16
