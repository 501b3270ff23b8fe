"""Each way of taking pieces as rows, through the planner, to a finish worked out by hand.

It is Wednesday 7 January 2026, 9:00 in Chicago; stations are open from 6:00 to 18:00. Times are minutes from 9:00.
"""

from datetime import timedelta

import pytest

from app.core import shop as core
from app.parts.models import KindRole, Taking
from app.schedule.models import Outlook
from app.schedule.queries import read_snapshot, why
from tests.factories.lots import make_lot
from tests.factories.parts import OperationKindFactory
from tests.factories.schedule import forecast_of, plan_now, routing_of, runs_of, single, spans_of
from tests.factories.stations import StationFactory


def test_one_piece_at_a_time_after_a_set_up(session, now):
    lot = make_lot(session, pieces=10, routing=routing_of(single(2, setup=30)))
    plan_now(session, now)
    assert spans_of(session, lot, now) == [(0, 50)]
    assert runs_of(session, lot)[0].setup_seconds == 1800


def test_loads_on_two_pallets_are_loaded_while_the_others_are_cut(session, now):
    # Hand: load 4 min, cut 10; two pallets, no time for the change. In at 4, 14, 24; out at 14, 24, 34.
    plan = {"taking": Taking.LOAD, "cycle_ms": 600_000, "load_ms": 240_000, "load_pieces": 4, "setup_seconds": 0}
    routing = routing_of(plan)
    routing.operations[0].work_center.stations[0].pallets = 2
    session.commit()
    lot = make_lot(session, pieces=12, routing=routing)
    plan_now(session, now)
    assert spans_of(session, lot, now) == [(0, 34)]


@pytest.mark.parametrize(("load", "unload", "ends"), [(4, 2, 40), (8, 5, 50)])
def test_loading_unloading_and_the_change_of_two_pallets_overlap_the_cutting(session, now, load, unload, ends):
    # Hand, as for the core: one tender, three loads, change 1 min, cut 10.
    minutes = {"cycle_ms": 10, "load_ms": load, "unload_ms": unload}
    plan = {"taking": Taking.LOAD, "load_pieces": 4, "setup_seconds": 0}
    routing = routing_of({**plan, **{name: 60_000 * value for name, value in minutes.items()}})
    station = routing.operations[0].work_center.stations[0]
    station.pallets, station.pallet_change_seconds = 2, 60
    session.commit()
    lot = make_lot(session, pieces=12, routing=routing)
    plan_now(session, now)
    assert spans_of(session, lot, now) == [(0, ends)]


def test_a_batch_waits_for_a_lot_that_is_expected_in_time(session, now):
    batch = {"taking": Taking.BATCH, "cycle_ms": 3_600_000, "load_pieces": 100, "recipe": "deburr", "setup_seconds": 0}
    early = routing_of({**batch, "wait_minutes": 30})
    late = routing_of(single(20), {**batch, "work_center": early.operations[0].work_center})
    first, second = make_lot(session, pieces=40, routing=early), make_lot(session, pieces=1, routing=late)
    plan_now(session, now)
    assert spans_of(session, first, now) == [(20, 80)]
    assert spans_of(session, second, now)[1] == (20, 80)


def test_a_batch_has_waited_since_its_pieces_came(session, now):
    batch = {"taking": Taking.BATCH, "cycle_ms": 3_600_000, "load_pieces": 100, "recipe": "deburr", "setup_seconds": 0}
    early = routing_of({**batch, "wait_minutes": 30})
    late = routing_of(single(20), {**batch, "work_center": early.operations[0].work_center})
    first, _ = make_lot(session, pieces=40, routing=early), make_lot(session, pieces=1, routing=late)
    plan_now(session, now + timedelta(minutes=15))
    assert spans_of(session, first, now) == [(15, 75)]  # the other comes 35 minutes after it, 30 are allowed


def test_a_batch_runs_once_for_the_lots_that_share_its_recipe(session, now):
    plan = {"taking": Taking.BATCH, "cycle_ms": 3_600_000, "load_pieces": 100, "recipe": "deburr", "setup_seconds": 0}
    routing = routing_of(plan)
    first, second = (make_lot(session, pieces=40, routing=routing) for _ in range(2))
    plan_now(session, now)
    assert spans_of(session, first, now) == spans_of(session, second, now) == [(0, 60)]
    assert len({run.load for lot in (first, second) for run in runs_of(session, lot)}) == 1


def test_a_lot_larger_than_a_batch_runs_as_several_by_pieces_or_by_weight(session, now):
    plan = {
        "taking": Taking.BATCH,
        "cycle_ms": 3_600_000,
        "load_pieces": 100,
        "batch_grams": 10_000,
        "recipe": "deburr",
        "setup_seconds": 0,
    }
    lot = make_lot(session, pieces=50, routing=routing_of(plan))  # 500 g each: 20 in a batch
    plan_now(session, now)
    assert [run.pieces for run in runs_of(session, lot)] == [20, 20, 10]


def test_a_piece_of_unknown_weight_leaves_the_batch_bounded_by_pieces(session, now):
    plan = {"taking": Taking.BATCH, "cycle_ms": 60_000, "load_pieces": 30, "batch_grams": 10_000, "recipe": "deburr"}
    lot = make_lot(session, pieces=50, routing=routing_of(plan, piece_grams=0))
    plan_now(session, now)
    assert [run.pieces for run in runs_of(session, lot)] == [30, 20]


def test_bars_are_changed_every_so_many_pieces(session, now):
    # 25 pieces, 10 from a bar: three bars of 5 min and 25 pieces of 1 min.
    plan = {"taking": Taking.BAR, "cycle_ms": 60_000, "load_ms": 300_000, "load_pieces": 10, "setup_seconds": 0}
    lot = make_lot(session, pieces=25, routing=routing_of(plan))
    plan_now(session, now)
    assert spans_of(session, lot, now) == [(0, 40)]


def test_work_done_by_others_counts_its_days_from_when_pieces_came_to_it(session, now, clock):
    StationFactory()  # somebody is there from 6:00 to take in what comes
    kind = OperationKindFactory(name="plating", role=KindRole.OUTSIDE)
    away = {"taking": Taking.LEAD_TIME, "lead_days": 7, "kind": kind, "work_center": None}
    lot = make_lot(session, pieces=10, routing=routing_of(away))
    plan_now(session, now)
    assert spans_of(session, lot, now) == [(0, 7 * 24 * 60)]
    clock.forward(days=2)
    plan_now(session, clock.now)
    assert spans_of(session, lot, now) == [(2 * 24 * 60, 7 * 24 * 60)]


def test_work_done_by_others_that_is_overdue_is_guessed_for_when_the_shop_next_opens(session, now, clock):
    StationFactory()  # somebody is there from 6:00 to take in what comes
    kind = OperationKindFactory(name="plating", role=KindRole.OUTSIDE)
    lot = make_lot(
        session,
        pieces=10,
        routing=routing_of({"taking": Taking.LEAD_TIME, "lead_days": 2, "kind": kind, "work_center": None}),
    )
    clock.forward(days=5, hours=12)  # Monday, 21:00
    plan_now(session, clock.now)
    found = forecast_of(session, lot)
    assert found.is_guess
    assert (found.finish_at - clock.now).total_seconds() == 9 * 3600  # Tuesday, 6:00


def test_no_set_up_where_the_same_part_follows_itself(session, now):
    routing = routing_of(single(1, setup=30))
    first, second = (make_lot(session, pieces=10, routing=routing) for _ in range(2))
    plan_now(session, now)
    assert spans_of(session, first, now) == [(0, 40)]
    assert spans_of(session, second, now) == [(40, 50)]


def test_pieces_sent_ahead_let_the_next_operation_begin_sooner(session, now):
    # Ten pieces of 10 min go on in fives; the next takes 2 min a piece and never waits for one.
    lot = make_lot(session, pieces=10, routing=routing_of(single(10, send_ahead=5), single(2)))
    plan_now(session, now)
    (_, first_ends), (begins, ends) = spans_of(session, lot, now)
    assert first_ends == 100
    assert 50 <= begins < 100
    assert ends == 110


@pytest.mark.parametrize(
    ("taking", "expected"),
    [
        (Taking.SINGLE, core.SinglePiece(60_000)),
        (Taking.LOAD, core.PalletLoad(8, 60_000, 5_000, 2_000)),
        (Taking.BAR, core.BarFed(8, 60_000, 5_000)),
        (Taking.BATCH, core.Batch("deburr", 60_000, 8, 4_000, 500, 720)),
        (Taking.LEAD_TIME, core.LeadTime(3)),
    ],
)
def test_every_figure_of_a_plan_reaches_the_core(session, now, taking, expected):
    plan = {
        "taking": taking,
        "cycle_ms": 60_000,
        "load_ms": 5_000,
        "unload_ms": 2_000,
        "wait_minutes": 12,
        "load_pieces": 8,
        "batch_grams": 4_000,
        "recipe": "deburr",
        "lead_days": 3,
        "setup_seconds": 90,
        "send_ahead": 4,
    }
    make_lot(session, pieces=10, routing=routing_of(plan))
    [lot] = read_snapshot(session, now).shop.lots
    [operation] = lot.operations
    assert operation.taking == expected
    assert (operation.setup_s, operation.send_ahead) == (90, 4)


def test_figures_that_make_no_sense_give_a_reason_and_leave_the_others_planned(session, now):
    wrong = make_lot(session, pieces=10, routing=routing_of(single(0)))
    right = make_lot(session, pieces=10, routing=routing_of(single(1)))
    plan_now(session, now)
    assert forecast_of(session, wrong).outlook is Outlook.BAD_INPUT
    assert why(forecast_of(session, wrong)) == ["Operation 10: the cycle time must be above zero, not 0."]
    assert spans_of(session, right, now) == [(0, 10)]


def test_an_operation_that_no_station_can_do_gives_the_lot_no_station(session, now):
    routing = routing_of(single(1))
    center = routing.operations[0].work_center
    center.stations[0].active = False
    session.commit()
    lot = make_lot(session, pieces=10, routing=routing)
    plan_now(session, now)
    found = forecast_of(session, lot)
    assert found.outlook is Outlook.NO_STATION
    assert why(found) == [f"Operation 10: there is no station in {center.name}."]
    assert found.finish_at is None
