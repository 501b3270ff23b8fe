"""What is stored of a forecast: dates against due, the chain, the reasons; and that a newer one is never replaced."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import orm

from app.lots import services as lots
from app.lots.queries import lot_name
from app.orders.models import DueMeans
from app.schedule import queries
from app.schedule.models import Forecast, LotForecast, PlannedRun, StationForecast
from app.schedule.planner import Planner
from app.schedule.services import PLANNER, store_forecast
from app.shared.database import change_number
from app.shared.lease import hold_lease
from app.stations.models import Downtime
from tests.factories.lots import act, make_lot, make_ordered_lot, station_of
from tests.factories.schedule import forecast_of, plan_now, routing_of, runs_of, single
from tests.statements import counted


def test_due_is_the_shipping_cut_off_of_the_day_on_the_shop_s_clock(session, now):
    lot = make_lot(session, pieces=10, routing=routing_of(single(6)), due_on=date(2026, 1, 7))
    plan_now(session, now)
    found = forecast_of(session, lot)
    assert found.due_at == now + timedelta(hours=6)  # 15:00 in Chicago
    assert found.slack_seconds == 5 * 3600
    assert not found.late


@pytest.mark.parametrize(("pieces", "late"), [(60, False), (61, True)])
def test_a_lot_is_late_when_it_is_expected_after_the_cut_off_not_at_it(session, now, pieces, late):
    lot = make_lot(session, pieces=pieces, routing=routing_of(single(6)), due_on=date(2026, 1, 7))
    plan_now(session, now)
    assert forecast_of(session, lot).late is late


def test_another_cut_off_moves_due(session, shop, now):
    shop.shipping_cutoff = time(10, 30)
    session.commit()
    lot = make_lot(session, pieces=10, routing=routing_of(single(10)), due_on=date(2026, 1, 7))
    plan_now(session, now)
    assert forecast_of(session, lot).slack_seconds == -600


def test_a_dock_date_is_due_as_many_days_sooner_as_it_is_on_the_road(session, now):
    lot = make_ordered_lot(
        session, due=date(2026, 1, 14), order__customer__due_means=DueMeans.DOCK, order__customer__transit_days=2
    )
    plan_now(session, now)
    assert forecast_of(session, lot).due_at == datetime(2026, 1, 12, 21, tzinfo=UTC)  # 15:00 in Chicago


def test_without_a_due_date_nothing_is_late(session, now):
    lot = make_lot(session, pieces=10, routing=routing_of(single(6)))
    plan_now(session, now)
    found = forecast_of(session, lot)
    assert (found.due_at, found.slack_seconds, found.late) == (None, None, False)


def test_a_held_lot_is_late_once_its_due_time_has_passed(session, now, clock):
    lot = make_lot(session, pieces=10, routing=routing_of(single(6)), due_on=date(2026, 1, 7))
    lots.hold_lot(session, act(), lot.id, "crack found")
    plan_now(session, now)
    assert not forecast_of(session, lot).late
    clock.forward(days=1)
    plan_now(session, clock.now)
    assert forecast_of(session, lot).late
    assert [found.lot_id for found in queries.watched(session, now).late] == [lot.id]


def test_runs_are_stored_for_the_pages(session, now):
    lot = make_lot(session, pieces=10, routing=routing_of(single(2, setup=30), single(1)))
    plan_now(session, now)
    first, second = runs_of(session, lot)
    assert (first.start_at, first.end_at) == (now, now + timedelta(minutes=50))
    assert first.station == station_of(lot.operations[0])
    assert second.end_at == now + timedelta(minutes=60)
    found = [(run.setup_seconds, run.work_seconds, run.pieces) for run in (first, second)]
    assert found == [(1800, 1200, 10), (0, 600, 10)]
    stored = session.get_one(Forecast, 1)
    assert (stored.change_number, stored.computed_at) == (change_number(session), now)
    [taken] = session.scalars(sa.select(StationForecast).where(StationForecast.station_id == first.station_id)).all()
    assert [stretch["end"] - stretch["start"] for stretch in taken.busy] == [3000]


def test_a_new_forecast_replaces_the_old_one_whole(session, now, clock):
    lot = make_lot(session, pieces=10, routing=routing_of(single(2)))
    plan_now(session, now)
    station_id = station_of(lot.operations[0]).id
    lots.begin(session, act(station_id=station_id), [lot.operations[0].id])
    lots.sign_off(session, act(station_id=station_id), [lots.SignOff(lot.operations[0].id, 10)])
    clock.forward(minutes=1)
    plan_now(session, clock.now)
    for table in (LotForecast, PlannedRun):
        assert session.scalars(sa.select(table)).all() == []


def test_a_forecast_of_an_earlier_state_never_replaces_a_later_one(session, engine, now):
    lot = make_lot(session, pieces=10, routing=routing_of(single(2)))
    session.rollback()
    hold_lease(session, PLANNER, "slow", now)
    slow = queries.compute_now(session, now)
    lots.hold_lot(session, act(), lot.id, "crack found")
    hold_lease(session, PLANNER, "slow", now)
    assert store_forecast(session, queries.compute_now(session, now), holder="slow", took_ms=1)
    assert not store_forecast(session, slow, holder="slow", took_ms=1)
    assert forecast_of(session, lot).obstacle["what"] == "crack found"


def test_a_planner_that_has_lost_its_lease_stores_nothing(session, now):
    make_lot(session, pieces=10, routing=routing_of(single(2)))
    hold_lease(session, PLANNER, "other", now)
    assert not store_forecast(session, queries.compute_now(session, now), holder="mine", took_ms=1)
    assert queries.latest(session) is None


def test_a_sign_off_is_planned_at_the_next_look(session, engine, clock):
    lot = make_lot(session, pieces=10, routing=routing_of(single(2), single(1)))
    planner = Planner(engine, holder="test", clock=clock)
    assert planner.wake()
    assert not planner.wake()
    station_id = station_of(lot.operations[0]).id
    lots.begin(session, act(station_id=station_id), [lot.operations[0].id])
    lots.sign_off(session, act(station_id=station_id), [lots.SignOff(lot.operations[0].id, 10)])
    assert planner.wake()
    session.rollback()
    assert [run.operation.number for run in runs_of(session, lot)] == [20]
    assert session.get_one(Forecast, 1).change_number == change_number(session)


def test_nothing_is_done_until_the_shop_is_set_up(session, engine, shop, clock):
    session.delete(shop)
    session.commit()
    assert not Planner(engine, holder="test", clock=clock).wake()


def test_the_reasons_name_what_stands_in_the_way(session, now):
    routing = routing_of(single(2))
    ahead = make_lot(session, pieces=180, routing=routing, due_on=date(2026, 1, 6))
    behind = make_lot(session, pieces=60, routing=routing, due_on=date(2026, 1, 7))
    down = make_lot(session, pieces=60, routing=routing_of(single(2)), due_on=date(2026, 1, 7))
    session.add(
        Downtime(
            station=station_of(down.operations[0]),
            starts_at=now - timedelta(hours=1),
            ends_at=now + timedelta(hours=5),
            end_is_guess=True,
        )
    )
    longer = make_lot(session, pieces=240, routing=routing_of(single(2)), due_on=date(2026, 1, 7))
    session.commit()
    plan_now(session, now)
    mill, press = (station_of(lot.operations[0]).name for lot in (behind, down))
    assert queries.why(forecast_of(session, behind)) == [f"Behind {lot_name(ahead)} (6\u00a0h) at {mill} for 6\u00a0h"]
    assert queries.why(forecast_of(session, down)) == [f"{press} is down for 5\u00a0h (its end is a guess)"]
    assert queries.why(forecast_of(session, ahead))[0].startswith(
        "Past due already; the work alone takes until Wed 7 Jan"
    )
    [simply] = queries.why(forecast_of(session, longer))
    assert simply.startswith("The work alone takes until Wed 7 Jan")
    assert simply.endswith("longer than the time left")
    assert next(found.lot_id for found in queries.watched(session, now).late) == ahead.id


def test_lots_with_little_slack_are_those_in_time_by_less_than_a_day(session, now):
    routing = routing_of(single(2))
    tight = make_lot(session, pieces=10, routing=routing, due_on=date(2026, 1, 7))
    make_lot(session, pieces=10, routing=routing, due_on=date(2026, 1, 9))
    make_lot(session, pieces=10, routing=routing, due_on=date(2026, 1, 2))
    plan_now(session, now)
    assert [found.lot_id for found in queries.watched(session, now).tight] == [tight.id]


def test_the_report_for_the_terminal_is_of_a_fresh_computation(app, session, now):
    routing = routing_of(single(2))
    lot = make_lot(session, pieces=600, routing=routing, due_on=date(2026, 1, 8))
    free = make_lot(session, pieces=1, routing=routing_of(single(2)))
    with app.app_context():
        found = queries.forecast_report(session, now)
    assert found == [
        {
            "lot": lot_name(lot),
            "due": "2026-01-08T15:00:00-06:00",
            "expected_finish": "2026-01-08T17:00:00-06:00",
            "slack_seconds": -7200,
            "late": True,
            "reasons": ["The work alone takes until Thu 8 Jan 17:00: longer than the time left"],
        },
        {
            "lot": lot_name(free),
            "due": None,
            "expected_finish": "2026-01-07T09:02:00-06:00",
            "slack_seconds": None,
            "late": False,
            "reasons": [],
        },
    ]
    assert queries.latest(session) is None


def test_reading_the_shop_takes_the_same_statements_for_five_lots_and_for_fifty(session, engine, now):
    def statements() -> int:
        with orm.Session(engine) as reading, counted(engine) as seen:
            queries.read_snapshot(reading, now)
        return len(seen)

    routing = routing_of(single(1), single(1), blanks=5)
    for _ in range(5):
        make_lot(session, pieces=5, routing=routing)
    few = statements()
    for _ in range(45):
        make_lot(session, pieces=5, routing=routing)
    assert statements() == few
    assert few <= 25


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    plans=st.lists(st.tuples(st.integers(1, 40), st.integers(1, 3), st.integers(0, 10)), min_size=1, max_size=4),
    minutes=st.integers(0, 600),
)
def test_the_stored_chain_adds_up_to_the_second(session, engine, now, plans, minutes):
    routing = routing_of(single(3, setup=20), single(2, send_ahead=4), single(1))
    for pieces, days, _ in plans:
        make_lot(session, pieces=pieces, routing=routing, due_on=date(2026, 1, 7) + timedelta(days=days))
    moment = now + timedelta(minutes=minutes)
    computed = queries.compute_now(session, moment)
    for row in queries.lot_rows(computed):
        assert sum(wait["seconds"] for wait in row.waits) == (row.finish_at - moment).total_seconds()
        assert all(said.sentence for said in queries.chain_words(row.waits, row.finish_at))
    session.rollback()
