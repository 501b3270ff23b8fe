from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.planning.takings import done_ms, run_seconds, taken_up_ms
from app.core.shop import BarFed, Batch, LeadTime, PalletLoad, Purchase, SinglePiece
from tests.core.reckoning import pallet_times
from tests.core.shops import single, station

MINUTE_MS = 60_000
TWO_PALLETS = station("mill", pallets=2, pallet_change_ms=MINUTE_MS)
ONE_PALLET = station("mill", pallets=1)


def pallet(load, unload, cut, pieces=1):
    return PalletLoad(pieces, cut * MINUTE_MS, load_ms=load * MINUTE_MS, unload_ms=unload * MINUTE_MS)


def in_minutes(milliseconds):
    return Fraction(milliseconds, MINUTE_MS)


@pytest.mark.parametrize(("load", "unload", "end"), [(4, 2, 40), (8, 5, 50)])
def test_three_loads_on_two_pallets_with_one_tender(load, unload, end):
    """By hand: change 1 min, cut 10 min; with 4 and 2 the machine sets the pace, with 8 and 5 the tender does."""
    assert run_seconds(pallet(load, unload, cut=10), TWO_PALLETS, 3) == end * 60


def test_when_each_of_three_loads_is_taken_up_and_unloaded_by_hand():
    """Load 8, unload 5, change 1, cut 10.

    In the machine at 9, 20 and 34. The second is loaded once the first is in, the third after the first was unloaded.
    """
    taking = pallet(8, 5, cut=10)
    assert [in_minutes(taken_up_ms(taking, TWO_PALLETS, before)) for before in range(3)] == [0, 9, 25]
    assert [in_minutes(done_ms(taking, TWO_PALLETS, done, 3)) for done in (1, 2, 3)] == [25, 39, 50]


def test_without_a_second_pallet_loading_comes_on_top():
    assert run_seconds(pallet(4, 2, cut=10), ONE_PALLET, 3) == 3 * 16 * 60


def test_a_load_that_is_not_full_takes_as_long_as_a_full_one():
    taking = pallet(4, 2, cut=10, pieces=8)
    assert run_seconds(taking, TWO_PALLETS, 17) == run_seconds(taking, TWO_PALLETS, 24) == 40 * 60


def test_each_bar_that_is_begun_takes_a_change():
    taking = BarFed(pieces_per_bar=12, cycle_ms=90_000, bar_change_ms=45_000)
    assert run_seconds(taking, ONE_PALLET, 12) == 12 * 90 + 45
    assert run_seconds(taking, ONE_PALLET, 13) == 13 * 90 + 90
    assert taken_up_ms(taking, ONE_PALLET, 12) == 12 * 90_000 + 90_000


def test_an_operation_is_rounded_up_once_and_not_piece_by_piece():
    assert run_seconds(SinglePiece(1_001), ONE_PALLET, 1_000) == 1_001
    assert run_seconds(SinglePiece(1_001), ONE_PALLET, 999) == 1_000  # 999.999 s


def test_a_batch_takes_its_time_whatever_is_in_it():
    assert run_seconds(Batch("deburr", 90 * MINUTE_MS), ONE_PALLET, 1) == 90 * 60
    assert run_seconds(Batch("deburr", 90 * MINUTE_MS), ONE_PALLET, 500) == 90 * 60


@pytest.mark.parametrize("taking", [LeadTime(5), Purchase()])
def test_what_needs_no_station_takes_none_of_its_time(taking):
    assert run_seconds(taking, ONE_PALLET, 10) == taken_up_ms(taking, ONE_PALLET, 5) == 0


@given(
    load=st.integers(0, 12),
    unload=st.integers(0, 12),
    cut=st.integers(1, 12),
    change=st.integers(0, 3),
    pallets=st.integers(1, 3),
    loads=st.integers(1, 9),
)
def test_pallet_times_agree_with_a_tender_followed_step_by_step(load, unload, cut, change, pallets, loads):
    taking = PalletLoad(1, cut, load_ms=load, unload_ms=unload)
    place = station("mill", pallets=pallets, pallet_change_ms=change)
    taken_up = [taken_up_ms(taking, place, before) for before in range(loads)]
    done = [done_ms(taking, place, done, loads) for done in range(1, loads + 1)]
    assert (taken_up, done) == pallet_times(taking, place, loads)


@given(st.sampled_from([single(1), BarFed(3, 7_000, 5_000), pallet(2, 1, 5, pieces=4)]), st.integers(1, 30))
def test_pieces_are_taken_up_in_order_and_done_after_they_are_taken_up(taking, pieces):
    taken_up = [taken_up_ms(taking, TWO_PALLETS, before) for before in range(pieces)]
    done = [done_ms(taking, TWO_PALLETS, done, pieces) for done in range(1, pieces + 1)]
    assert taken_up == sorted(taken_up)
    assert done == sorted(done)
    assert all(a < b for a, b in zip(taken_up, done, strict=True))
