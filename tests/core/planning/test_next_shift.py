"""Of plans that are worth the same, the one that changes least of what begins before the next shift ends."""

from dataclasses import replace

from app.core.planning.next_shift import changed_starts, next_shift_ends
from app.core.planning.search import Effort, improve
from tests.core.planning.plans import plan
from tests.core.shops import at, calendar, lot, operation, round_the_clock, shop, single, station

TWO_SHIFTS = calendar(("06:00", "14:00"), ("14:00", "22:00"))


def two_days_of_work():
    """Return a station at 10:00 of its early shift with twelve lots of four hours."""
    lots = [lot(f"L{n:02}", operation("10", single(240), waiting=1)) for n in range(12)]
    return shop([station("M", calendar=TWO_SHIFTS)], *lots, now=at(10 * 60), receiving=round_the_clock())


def test_the_next_shift_ends_after_the_one_that_runs():
    assert next_shift_ends(two_days_of_work()) == {"M": at(22 * 60)}


def test_lots_that_begin_before_its_end_in_one_plan_only_are_counted():
    problem = two_days_of_work()
    ends, runs = next_shift_ends(problem), plan(problem).operations  # at 10, 14, 18 and on the next days
    assert changed_starts(ends, runs, runs) == 0
    swapped = {"L00": "L02", "L02": "L00"}
    assert changed_starts(ends, runs, [replace(run, lot=swapped.get(run.lot, run.lot)) for run in runs]) == 0
    later = {"L02": "L03", "L03": "L02"}
    assert changed_starts(ends, runs, [replace(run, lot=later.get(run.lot, run.lot)) for run in runs]) == 2
    tomorrow = {"L03": "L11", "L11": "L03"}
    assert changed_starts(ends, runs, [replace(run, lot=tomorrow.get(run.lot, run.lot)) for run in runs]) == 0


def test_what_is_under_way_and_a_station_without_shifts_count_for_nothing():
    problem = two_days_of_work()
    runs = plan(problem).operations
    assert changed_starts(next_shift_ends(problem), [replace(run, under_way=True) for run in runs], ()) == 0
    assert changed_starts({}, runs, ()) == 0


def test_a_search_that_gains_nothing_changes_nothing():
    problem = two_days_of_work()
    found = improve(problem, Effort(moves=40), by_ranks=True)
    assert found.plan == found.start
