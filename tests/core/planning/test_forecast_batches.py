from dataclasses import replace

import pytest

from app.core.plan_check import check
from app.core.planning.batches import BatchLoad, batch_room, fitting
from app.core.planning.decoding import decode
from app.core.planning.forecasts import forecast
from app.core.planning.outcome import plan_of_arrays
from app.core.shop import Batch
from tests.core.shops import lot, minutes, operation, shop, single, station

HOUR_MS = 3_600_000
TUMBLER = station("tumbler", "tumbler")


def tumbled(key, pieces, *, recipe="deburr", max_pieces=None, max_weight_g=None, grams=0, **more):
    taking = Batch(recipe, HOUR_MS, max_pieces, max_weight_g, grams)
    return lot(key, operation("10", taking, "tumbler", waiting=pieces, setup=more.pop("setup", 0)), **more)


def loads(planned, key="tumbler"):
    shared: dict[tuple[float | None, int], list[tuple[str, int]]] = {}
    for run in planned.stations[key]:
        shared.setdefault((minutes(run.start), run.load), []).append((run.lot, run.pieces))
    return [(start, lots) for (start, _), lots in shared.items()]


def test_lots_that_wait_together_share_a_batch_as_far_as_they_fit():
    lots = [tumbled("a", 40, max_pieces=100), tumbled("b", 70, max_pieces=100), tumbled("c", 50, max_pieces=100)]
    planned = forecast(shop([TUMBLER], *lots))
    assert loads(planned) == [(0, [("a", 40), ("c", 50)]), (60, [("b", 70)])]


def test_the_lowest_rank_that_waits_opens_the_batch_and_the_others_join_by_rank():
    lots = [
        tumbled("a", 10, max_pieces=30),
        tumbled("b", 10, max_pieces=30),
        tumbled("c", 15, max_pieces=30, rush=True),
    ]
    assert loads(forecast(shop([TUMBLER], *lots))) == [(0, [("c", 15), ("a", 10)]), (60, [("b", 10)])]


def test_a_batch_starts_when_a_station_is_free_and_does_not_wait_for_company():
    late = lot(
        "late",
        operation("5", single(1), waiting=10),
        operation("10", Batch("deburr", HOUR_MS, max_pieces=100), "tumbler"),
    )
    planned = forecast(shop([TUMBLER, station("mill")], tumbled("early", 10, max_pieces=100), late))
    assert loads(planned) == [(0, [("early", 10)]), (60, [("late", 10)])]


@pytest.mark.parametrize(("waited", "begins"), [(0, 20), (10, 20), (11, 0), (500, 0)])
def test_what_waits_at_now_has_waited_a_part_of_its_time_already(waited, begins):
    baking = Batch("deburr", HOUR_MS, wait_s=1800)
    early = operation("10", baking, "tumbler", waiting=10)
    late = lot("late", operation("5", single(20), waiting=1), operation("10", baking, "tumbler"))
    mill = station("mill")
    problem = shop([TUMBLER, mill], lot("early", replace(early, waited_s=waited * 60)), late)
    planned = forecast(problem)
    assert loads(planned)[0][0] == begins
    assert check(problem, plan_of_arrays(decode(problem))) == ()


def test_other_recipes_do_not_share():
    planned = forecast(shop([TUMBLER], tumbled("a", 5), tumbled("b", 5, recipe="polish"), tumbled("c", 5)))
    assert loads(planned) == [(0, [("a", 5), ("c", 5)]), (60, [("b", 5)])]


def test_weight_bounds_a_batch_too():
    lots = [tumbled("heavy", 4, max_weight_g=10_000, grams=2_000), tumbled("light", 20, max_weight_g=10_000, grams=100)]
    assert loads(forecast(shop([TUMBLER], *lots))) == [(0, [("heavy", 4), ("light", 20)])]
    lots[1] = tumbled("light", 21, max_weight_g=10_000, grams=100)
    assert loads(forecast(shop([TUMBLER], *lots))) == [(0, [("heavy", 4)]), (60, [("light", 21)])]


def test_a_lot_larger_than_a_batch_runs_as_several_and_its_rest_takes_company():
    planned = forecast(shop([TUMBLER], tumbled("large", 250, max_pieces=100), tumbled("small", 30, max_pieces=100)))
    assert loads(planned) == [(0, [("large", 100)]), (60, [("large", 100)]), (120, [("large", 50), ("small", 30)])]


def test_a_lot_larger_than_a_batch_uses_every_free_station():
    planned = forecast(shop([TUMBLER, station("second", "tumbler")], tumbled("large", 150, max_pieces=100)))
    assert loads(planned) == [(0, [("large", 100)])]
    assert loads(planned, "second") == [(0, [("large", 50)])]


def test_the_set_up_of_a_batch_is_that_of_the_lot_that_opens_it():
    planned = forecast(shop([TUMBLER], tumbled("a", 5, setup=10), tumbled("b", 5, setup=30)))
    assert {(run.lot, run.setup_s, run.work_s) for run in planned.stations["tumbler"]} == {
        ("a", 600, 3600),
        ("b", 600, 3600),
    }


def test_the_strictest_bounds_hold_for_all_that_share():
    planned = forecast(
        shop(
            [TUMBLER], tumbled("small parts", 80, max_pieces=100, rush=True), tumbled("large parts", 10, max_pieces=50)
        )
    )
    assert loads(planned) == [(0, [("small parts", 80)]), (60, [("large parts", 10)])]


@pytest.mark.parametrize(
    ("taking", "room"),
    [
        (Batch("r", 1), None),
        (Batch("r", 1, max_pieces=7), 7),
        (Batch("r", 1, max_weight_g=1_000, piece_weight_g=300), 3),
        (Batch("r", 1, 2, 1_000, 300), 2),
    ],
)
def test_room_is_what_the_first_bound_to_be_met_allows(taking, room):
    assert batch_room(taking) == room
    assert fitting(taking, 100) == (100 if room is None else room)


def test_a_batch_is_full_at_either_bound():
    assert BatchLoad.of(Batch("r", 1, 10, 1_000, 10), 10).full
    assert BatchLoad.of(Batch("r", 1, 200, 1_000, 10), 100).full
    assert not BatchLoad.of(Batch("r", 1, 200, 1_000, 10), 99).full
    assert not BatchLoad.of(Batch("r", 1), 99).full


def test_batches_of_another_time_do_not_mix():
    assert BatchLoad.of(Batch("r", 1), 1).with_more(Batch("r", 2), 1) is None
