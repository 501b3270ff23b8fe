"""Pallets: hand cases, and what a plan may and may not do with them."""

from dataclasses import replace

import pytest

from app.core.plan_check import Rule
from app.core.plan_check.work import workload
from app.core.shop import PalletLoad
from tests.core.plan_check.plans import row, verdict
from tests.core.shops import at, lot, operation, shop, station

MIN = 60_000


def pallets(load, unload, cut=10, pieces=1):
    return PalletLoad(pieces, cut * MIN, load * MIN, unload * MIN)


def machine(pallets=2, **more):
    return station("M", pallets=pallets, pallet_change_ms=MIN, **more)


@pytest.mark.parametrize(("load", "unload", "end"), [(4, 2, 40), (8, 5, 50)])
def test_three_loads_on_two_pallets_with_one_tender(load, unload, end):
    """Change 1 min, cut 10: what the tender does while the machine cuts costs nothing. Followed by hand."""
    case = shop([machine()], lot("L", operation("10", pallets(load, unload), waiting=3)))
    assert verdict(case, row("L", 0, "M", 0, end, 3)) == set()
    assert verdict(case, row("L", 0, "M", 0, end - 1, 3)) == {Rule.TIME}
    assert verdict(case, row("L", 0, "M", 0, end + 1, 3)) == {Rule.TIME}


def test_with_one_pallet_loading_and_unloading_come_on_top():
    case = shop([machine(pallets=1)], lot("L", operation("10", pallets(4, 2), waiting=3)))
    assert verdict(case, row("L", 0, "M", 0, 48, 3)) == set()
    assert verdict(case, row("L", 0, "M", 0, 40, 3)) == {Rule.TIME}


def test_the_last_load_takes_as_long_as_a_full_one():
    case = shop([machine(pallets=1)], lot("L", operation("10", pallets(4, 2, pieces=5), waiting=11)))
    assert verdict(case, row("L", 0, "M", 0, 48, 11)) == set()


def test_only_cutting_is_faster_at_a_faster_station():
    case = shop([machine(pallets=1, pace=200)], lot("L", operation("10", pallets(4, 2), waiting=3)))
    assert verdict(case, row("L", 0, "M", 0, 33, 3)) == set()


@pytest.mark.parametrize("loads", range(1, 7))
@pytest.mark.parametrize(
    ("load", "unload", "cut"), [(4, 2, 10), (8, 5, 10), (12, 1, 10), (1, 12, 10), (0, 0, 3), (20, 20, 1)]
)
def test_followed_step_by_step_loads_are_where_the_formulas_of_the_model_have_them(loads, load, unload, cut):
    """``app.core.planning`` has the formulas; the checker follows tender and machine with a clock."""
    change = 1
    in_machine = [load + change, load + change + max(cut, load) + change]
    while len(in_machine) <= loads:
        in_machine.append(in_machine[-1] + max(cut, unload + load) + change)
    last = in_machine[loads - 1] + max(cut + change, unload if loads > 1 else 0) + unload
    done = [*(in_machine[n + 1] + unload for n in range(loads - 1)), last]
    taken_up = [0, in_machine[0], *(in_machine[n - 1] + unload for n in range(2, loads))][:loads]
    work = workload(operation("10", pallets(load, unload, cut)), machine(), loads)
    assert work.done == [minutes * MIN for minutes in done]
    assert work.taken_up == [minutes * MIN for minutes in taken_up]


# Pallets with different parts. One piece of A: loaded at 4, in at 5, cut at 15, changed at 16, unloaded at 18. B is
# loaded in 3 minutes between 5, when the tender is free, and 15; it goes in as A comes out, at 16.


def two_lots(**more):
    first = lot("A", operation("10", pallets(4, 2), waiting=1))
    second = lot("B", operation("10", pallets(3, 2, cut=6), waiting=1, **more))
    return shop([machine()], first, second)


A = row("A", 0, "M", 0, 18)


def mixed(start, end=16 + 6 + 1 + 2):
    return row("B", 0, "M", start, end)


def test_the_next_part_is_loaded_while_the_last_of_another_is_cut():
    for start in (5, 8, 12):
        assert verdict(two_lots(), A, mixed(start)) == set()
    assert verdict(two_lots(), A, mixed(5, 24)) == {Rule.TIME}
    assert verdict(two_lots(), A, row("B", 0, "M", 18, 18 + 3 + 1 + 6 + 1 + 2)) == set()


@pytest.mark.parametrize("start", [1, 4, 13, 17])
def test_it_is_not_loaded_before_the_tender_is_free_or_after_the_machine_has_asked_for_it(start):
    assert Rule.PALLETS in verdict(two_lots(), A, mixed(start))


def test_what_needs_a_set_up_waits_until_the_other_is_out():
    wrong = row("B", 0, "M", 8, 8 + 5 + 3 + 1 + 6 + 1 + 2, setup=5)
    assert Rule.OVERLAP in verdict(two_lots(setup=5), A, wrong)
    assert Rule.SETUP in verdict(two_lots(setup=5), A, mixed(8))


def test_one_pallet_and_other_ways_of_taking_pieces_cannot_be_mixed():
    case = two_lots()
    assert Rule.OVERLAP in verdict(replace(case, stations=(machine(pallets=1),)), A, mixed(8))


def test_a_mixed_run_of_several_loads_has_the_others_unloaded_first():
    """B's second load: A is unloaded from 16 to 18, then it is loaded to 21, in at 23 after B's first, gone at 32."""
    first, second = two_lots().lots
    (step,) = second.operations
    case = replace(two_lots(), lots=(first, replace(second, operations=(replace(step, waiting=2),))))
    assert verdict(case, A, replace(mixed(8, 32), pieces=2)) == set()
    assert verdict(case, A, replace(mixed(8, 31), pieces=2)) == {Rule.TIME}


def test_a_piece_must_be_there_when_its_load_is_taken_up():
    """Loads of one piece: the first is loaded at 0, the second at 5, the third when the first is unloaded, at 18."""
    saw = operation("10", pallets(0, 0, cut=1), "saw", waiting=3, send_ahead=1)
    saws = station("S", "saw")
    case = shop([machine(), saws], lot("L", saw, operation("20", pallets(4, 2))))
    sawn = row("L", 0, "S", 0, 3, 3)
    assert verdict(case, sawn, row("L", 1, "M", 1, 41, 3)) == set()
    assert verdict(case, sawn, row("L", 1, "M", 0, 40, 3)) == {Rule.PIECES}
    assert at(0) == sawn.start
