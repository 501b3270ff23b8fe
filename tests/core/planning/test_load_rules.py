"""Hand cases of loads, batches and set-ups, by the minute (from Monday 00:00), reckoned by hand."""

import pytest

from app.core.shop import BarFed, Batch, PalletLoad
from tests.core.planning.plans import finishes, plan, runs
from tests.core.shops import MINUTE, at, lot, operation, shop, single, station

MS = 60_000


def pallets(load: int, unload: int, cut: int = 10, pieces: int = 1) -> PalletLoad:
    return PalletLoad(pieces, cut * MS, load * MS, unload * MS)


@pytest.mark.parametrize(("load", "unload", "end"), [(4, 2, 40), (8, 5, 50)])
def test_two_pallets_one_tender_three_loads(load: int, unload: int, end: float) -> None:
    bench = station("M1", pallets=2, pallet_change_ms=MS)
    found = plan(shop([bench], lot("A", operation("10", pallets(load, unload, pieces=4), waiting=12))))
    assert runs(found, "A") == [(0, end)]


def test_one_pallet_is_loaded_and_unloaded_while_nothing_is_cut() -> None:
    found = plan(shop([station("M1")], lot("A", operation("10", pallets(4, 2), waiting=3))))
    assert runs(found, "A") == [(0, 48)]


def test_pallets_carry_different_parts() -> None:
    """A is in the machine from 3 to 13; B is loaded from 3 on, goes in at 14, is cut until 24, out at 25, off at 26."""
    bench = station("M1", pallets=2, pallet_change_ms=MS)
    step = operation("10", pallets(2, 1), waiting=1)
    found = plan(shop([bench], lot("A", step), lot("B", step), lot("C", step)))
    assert (runs(found, "A"), runs(found, "B"), runs(found, "C")) == ([(0, 15)], [(3, 26)], [(15, 37)])


def test_a_run_that_needs_a_set_up_does_not_go_in_beside_another() -> None:
    bench = station("M1", pallets=2, pallet_change_ms=MS)
    first, second = (operation("10", pallets(2, 1), setup=5, waiting=1, family=part) for part in "AB")
    found = plan(shop([bench], lot("A", first), lot("B", second)))
    assert (runs(found, "A"), runs(found, "B")) == ([(0, 20)], [(20, 40)])


def test_a_pallet_that_could_not_be_loaded_in_time_waits_for_the_end() -> None:
    bench = station("M1", pallets=2, pallet_change_ms=MS)
    first, second = operation("10", pallets(2, 1), waiting=1), operation("10", pallets(11, 1), waiting=1)
    found = plan(shop([bench], lot("A", first), lot("B", second)))
    assert runs(found, "B") == [(15, 15 + 11 + 1 + 11 + 1)]


def test_every_bar_that_is_begun_takes_its_change() -> None:
    found = plan(shop([station("M1")], lot("A", operation("10", BarFed(4, 2 * MS, 3 * MS), waiting=9))))
    assert runs(found, "A") == [(0, 27)]


def oven(pieces: int, wait: int = 0, recipe: str = "hard", room: int = 10):
    return operation("20", Batch(recipe, 60 * MS, max_pieces=room, wait_s=wait * MINUTE), "oven", waiting=pieces)


def test_lots_of_one_recipe_share_a_batch_within_its_bound() -> None:
    found = plan(shop([station("O", "oven")], lot("A", oven(4)), lot("B", oven(7)), lot("C", oven(6))))
    assert finishes(found) == {"A": 60, "B": 120, "C": 60}
    loads = {run.lot: run.load for run in found.operations}
    assert loads["A"] == loads["C"] != loads["B"]


def test_a_lot_beyond_one_batch_runs_as_several() -> None:
    found = plan(shop([station("O", "oven")], lot("A", oven(25))))
    assert [run.pieces for run in found.operations] == [10, 10, 5]
    assert finishes(found) == {"A": 180}


def later(pieces: int, minutes: float):
    """Return a lot that reaches the oven after so many minutes."""
    return lot("B", operation("10", single(minutes / pieces), waiting=pieces), oven(0))


@pytest.mark.parametrize(
    ("pieces", "comes", "wait", "start"),
    [
        (3, 20, 30, 20),  # expected within the bound
        (3, 31, 30, 0),  # expected too late
        (3, 20, 0, 0),  # waits for nobody
        (7, 20, 30, 0),  # does not fit
    ],
)
def test_a_batch_waits_only_for_what_is_expected_in_time_and_fits(
    pieces: int, comes: float, wait: int, start: float
) -> None:
    found = plan(shop([station("M1"), station("O", "oven")], lot("A", oven(4, wait)), later(pieces, comes)))
    assert runs(found, "A") == [(start, start + 60)]


def test_set_up_depends_on_what_ran_before() -> None:
    """Full for A (30), same fixture for B (10), same part for C (none), full for D."""

    def step(part: str, fixture: str):
        return operation("10", single(5), setup=30, family=part, fixture=fixture, fixture_setup_s=600, waiting=1)

    orders = [
        lot("A", step("P1", "vise"), due=at(1)),
        lot("B", step("P2", "vise"), due=at(2)),
        lot("C", step("P2", "vise"), due=at(3)),
        lot("D", step("P2x", "plate"), due=at(4)),
    ]
    found = plan(shop([station("M1", set_up_for="P0", set_up_fixture="plate")], *orders))
    assert finishes(found) == {"A": 35, "B": 50, "C": 55, "D": 90}
    assert [run.setup_s for run in found.operations] == [1800, 600, 0, 1800]


def test_what_the_station_is_set_up_for_counts_for_the_first_run() -> None:
    step = operation("10", single(5), setup=30, family="P1", waiting=1)
    assert finishes(plan(shop([station("M1", set_up_for="P1")], lot("A", step)))) == {"A": 5}
