"""Batches: shared by recipe, bounded by pieces and weight, waiting no longer than they may."""

from dataclasses import replace

import pytest

from app.core.plan_check import Rule
from app.core.shop import Batch
from tests.core.plan_check.plans import row, verdict
from tests.core.shops import at, lot, operation, shop, single, station

HOUR_MS = 3_600_000


def tumble(recipe="steel", pieces=10, weight=5_000, each=100, minutes=60, wait=0):
    return Batch(recipe, minutes * 60_000, pieces, weight, each, wait_s=wait * 60)


def tumbled(key, taking, waiting=4, **more):
    return lot(key, operation("10", taking, "tumbler", waiting=waiting, **more))


TUMBLER = station("T", "tumbler")


def together(*pieces, start=0, end=60, **more):
    return [row(key, 0, "T", start, end, count, load=7, **more) for key, count in zip("ABC", pieces, strict=False)]


def two(first, second, **more):
    return shop([TUMBLER], tumbled("A", first, **more), tumbled("B", second, **more))


def test_lots_of_one_recipe_share_a_batch():
    assert verdict(two(tumble(), tumble()), *together(4, 4)) == set()


def test_without_a_shared_number_they_are_two_at_once():
    one, other = together(4, 4)
    assert verdict(two(tumble(), tumble()), replace(one, load=0), replace(other, load=0)) == {Rule.OVERLAP}
    assert verdict(two(tumble(), tumble()), one, replace(other, load=8)) == {Rule.OVERLAP}


def test_another_recipe_or_another_time_is_another_batch():
    assert verdict(two(tumble(), tumble("brass")), *together(4, 4)) == {Rule.BATCH}
    assert verdict(two(tumble(), tumble(minutes=59)), *together(4, 4)) >= {Rule.BATCH}
    apart = [row("A", 0, "T", 0, 60, 4), row("B", 0, "T", 60, 120, 4)]
    assert verdict(two(tumble(), tumble("brass")), *apart) == set()


def test_what_is_no_batch_is_not_shared():
    case = shop([TUMBLER], tumbled("A", single(15)), tumbled("B", single(15)))
    assert Rule.BATCH in verdict(case, *together(4, 4))


def test_the_runs_of_one_batch_begin_and_end_together():
    one, other = together(4, 4)
    assert Rule.BATCH in verdict(two(tumble(), tumble()), one, replace(other, start=at(10), end=at(70)))


@pytest.mark.parametrize(
    ("first", "second", "rules"),
    [
        (tumble(pieces=8), tumble(), set()),
        (tumble(pieces=7), tumble(), {Rule.BATCH_BOUND}),
        (tumble(), tumble(pieces=7), {Rule.BATCH_BOUND}),
        (tumble(each=500), tumble(each=750), set()),
        (tumble(each=500), tumble(each=751), {Rule.BATCH_BOUND}),
        (tumble(pieces=None, weight=None), tumble(pieces=None, weight=None), set()),
    ],
)
def test_the_strictest_bound_of_pieces_and_of_weight_holds_for_all(first, second, rules):
    assert verdict(two(first, second), *together(4, 4)) == rules


def test_a_lot_beyond_one_batch_runs_as_several():
    case = shop([TUMBLER], tumbled("A", tumble(), waiting=24))
    assert (
        verdict(case, *[row("A", 0, "T", 60 * n, 60 * n + 60, pieces) for n, pieces in enumerate((10, 10, 4))]) == set()
    )
    assert verdict(case, row("A", 0, "T", 0, 60, 24)) == {Rule.BATCH_BOUND}


def test_set_up_is_that_of_the_first_and_counts_for_all():
    case = two(tumble(), tumble(), setup=10)
    assert verdict(case, *together(4, 4, end=70, setup=10)) == set()
    assert Rule.SETUP in verdict(case, *together(4, 4))


def expected_later(wait, second_ready=30):
    """B's pieces come half an hour after A's."""
    saw = operation("10", single(second_ready / 4), "saw", waiting=4)
    return shop(
        [TUMBLER, station("S", "saw")],
        tumbled("A", tumble(wait=wait)),
        lot("B", saw, operation("20", tumble(wait=wait), "tumbler")),
    )


def waited(start):
    a, b = together(4, 4, start=start, end=start + 60)
    return [a, replace(b, index=1), row("B", 0, "S", 0, 30, 4)]


def test_a_batch_waits_for_others_only_as_long_as_it_may():
    assert verdict(expected_later(wait=30), *waited(30)) == set()
    assert verdict(expected_later(wait=29), *waited(30)) == {Rule.BATCH_WAIT}


def test_while_its_station_is_busy_anyway_it_does_not_wait():
    case = expected_later(wait=0)
    busy = tumbled("C", tumble("brass", minutes=30))
    assert verdict(replace(case, lots=(*case.lots, busy)), *waited(30), row("C", 0, "T", 0, 30, 4)) == set()


def test_all_pieces_of_a_batch_are_there_when_it_begins():
    assert Rule.PIECES in verdict(expected_later(wait=30), *waited(29))
