"""Lots that wait for each other: each tells the whole loop; what stands behind a loop tells the lot it waits for."""

from app.core.plan_check import check
from app.core.planning.forecasts import forecast
from app.core.planning.obstacles import Obstacle, ObstacleKind, Status
from app.core.shop import SinglePiece
from tests.core.plan_check.plans import forecast_plan
from tests.core.shops import lot, operation, shop, single, station


def _lot(key, *components, **more):
    return lot(key, operation("10", single(1), waiting=1, components=components), **more)


def _obstacles(*lots):
    """Return what keeps each lot from being planned; the plan is proved by the checker."""
    case = shop([station("mill")], *lots)
    assert check(case, forecast_plan(case)) == ()
    return {key: one.obstacle for key, one in forecast(case).lots.items()}


def _loop(*keys):
    return Obstacle(ObstacleKind.LOTS_IN_A_LOOP, "10", ", ".join(keys), number=len(keys))


def _behind(key):
    return Obstacle(ObstacleKind.LOT_NOT_FINISHED, "10", key)


def test_each_lot_of_a_loop_names_all_of_it_in_the_order_of_waiting():
    found = _obstacles(_lot("L1", "L2"), _lot("L2", "L3"), _lot("L3", "L1"), _lot("L4"))
    assert found == {**dict.fromkeys(("L1", "L2", "L3"), _loop("L1", "L2", "L3")), "L4": None}
    found = _obstacles(_lot("L1", "L3"), _lot("L2", "L1"), _lot("L3", "L2"))
    assert found == dict.fromkeys(("L1", "L2", "L3"), _loop("L1", "L3", "L2"))


def test_a_lot_behind_a_loop_waits_for_a_lot_that_cannot_be_finished():
    found = _obstacles(_lot("L1", "L2"), _lot("L2", "L1"), _lot("L3", "L2"), _lot("L4", "L3"))
    assert (found["L3"], found["L4"]) == (_behind("L2"), _behind("L3"))
    assert found["L1"] == found["L2"] == _loop("L1", "L2")


def test_a_lot_that_is_its_own_component_is_a_loop_by_itself():
    assert _obstacles(_lot("L1", "L1"), _lot("L2", "L1")) == {"L1": _loop("L1"), "L2": _behind("L1")}


def test_of_two_loops_a_lot_names_the_shorter():
    found = _obstacles(_lot("L1", "L2", "L3"), _lot("L2", "L4"), _lot("L3", "L1"), _lot("L4", "L1"))
    assert (found["L1"], found["L3"]) == (_loop("L1", "L3"), _loop("L1", "L3"))
    assert found["L2"] == found["L4"] == _loop("L1", "L2", "L4")


def test_a_loop_through_what_is_on_hold_is_told_once_it_no_longer_is():
    pieces = lot("L1", operation("5", single(1), held=1), operation("10", single(1), components=("L2",)))
    for held, kind in (
        (_lot("L1", "L2", hold="asked"), ObstacleKind.LOT_HELD),
        (pieces, ObstacleKind.PIECES_HELD),
    ):
        found = _obstacles(held, _lot("L2", "L1"))
        assert (found["L1"].kind, found["L2"]) == (kind, _behind("L1"))


def test_an_earlier_operation_that_waits_for_another_lot_comes_first():
    """First the other lot is to be mended, and only then does the loop stop this one."""
    bad = lot("bad", operation("10", SinglePiece(0), waiting=1))
    first, later = (operation(key, single(1), components=(other,)) for key, other in (("5", "bad"), ("10", "L2")))
    one = lot("L1", operation("1", single(1), waiting=1), first, later)
    found = _obstacles(one, _lot("L2", "L1"), bad)
    assert found["bad"].status is Status.BAD_INPUT
    assert found["L1"] == Obstacle(ObstacleKind.LOT_NOT_FINISHED, "5", "bad")
    assert found["L2"] == _loop("L1", "L2")


def test_an_operation_that_all_pieces_have_passed_makes_no_loop():
    passed = lot("L1", operation("10", single(1), components=("L2",)), operation("20", single(1), waiting=1))
    assert _obstacles(passed, _lot("L2", "L1")) == {"L1": None, "L2": None}
    held = lot("L1", operation("10", single(1), components=("L2",)), operation("20", single(1), held=1))
    assert _obstacles(held, _lot("L2", "L1"))["L2"] == _behind("L1")
