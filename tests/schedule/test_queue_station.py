"""What a station is to run next and on a day, as the floor and the review ask for it."""

from datetime import date

from app.lots import services as lots
from app.schedule import queries
from tests.factories.lots import act, make_lot, station_of
from tests.factories.schedule import plan_now, routing_of, single
from tests.statements import counted

DAY = date(2026, 1, 7)


def test_what_is_next_comes_in_the_order_of_the_forecast_with_the_reason_for_its_place(session, now):
    routing = routing_of(single(1))
    under_way = make_lot(session, pieces=10, routing=routing)
    soon = make_lot(session, pieces=10, routing=routing, due_on=date(2026, 1, 9))
    rush = make_lot(session, pieces=10, routing=routing, due_on=date(2026, 1, 20))
    pinned = make_lot(session, pieces=10, routing=routing)
    whenever = make_lot(session, pieces=10, routing=routing)
    rush.rush, pinned.pin = True, 1
    session.commit()
    station = station_of(soon.operations[0])
    lots.begin(session, act(station_id=station.id), [under_way.operations[0].id])
    plan_now(session, now)
    found = queries.station_queue(session, station.id)
    assert [queued.lot.id for queued in found] == [pinned.id, rush.id, soon.id, whenever.id]
    assert [queued.why for queued in found] == [
        "Pinned to place 1",
        "Rush, due Tue 20 Jan",
        "Due Fri 9 Jan",
        "No due date",
    ]
    assert [queued.here for queued in found] == [10] * 4
    assert len(queries.station_queue(session, station.id, limit=2)) == 2


def test_pieces_that_are_still_on_their_way_are_not_here(session, now):
    lot = make_lot(session, pieces=10, routing=routing_of(single(1), single(1)))
    plan_now(session, now)
    [queued] = queries.station_queue(session, station_of(lot.operations[1]).id)
    assert (queued.here, queued.run.pieces) == (0, 10)


def test_a_day_has_what_runs_in_it_also_what_began_before_and_goes_on_after(session, now):
    routing = routing_of(single(60))
    over_night = make_lot(session, pieces=30, routing=routing, due_on=date(2026, 1, 8))  # to Friday 15:00
    friday = make_lot(session, pieces=2, routing=routing, due_on=date(2026, 1, 20))
    plan_now(session, now)
    station_id = station_of(friday.operations[0]).id

    def on(day: int) -> list[int]:
        found = queries.today(session, [station_id, 999], date(2026, 1, day))
        assert found[999] == []
        return [queued.lot.id for queued in found[station_id]]

    assert on(6) == []
    assert on(7) == on(8) == [over_night.id]
    assert on(9) == [over_night.id, friday.id]
    assert on(10) == []


def test_a_job_begun_at_a_station_of_another_work_center_is_ended_there(session, now):
    lot = make_lot(session, pieces=10, routing=routing_of(single(6)))
    other = station_of(make_lot(session, pieces=1, routing=routing_of(single(1))).operations[0])
    lots.begin(session, act(station_id=other.id), [lot.operations[0].id], anyway=True)
    station_of(lot.operations[0]).active = False
    session.commit()
    plan_now(session, now)
    [run] = queries.lot_plan(session, lot.id).runs
    assert (run.station_id, run.under_way) == (other.id, True)


def test_the_reads_of_other_areas_take_the_same_statements_for_five_lots_and_for_fifty(session, engine, now):
    routing = routing_of(single(1), single(1))

    def made(lots_wanted: int) -> list[int]:
        for _ in range(lots_wanted):
            make_lot(session, pieces=5, routing=routing, due_on=date(2026, 1, 6))
        plan_now(session, now)
        station_id = routing.operations[0].work_center.stations[0].id
        reads = (
            lambda: [each.lot.revision.part.number for each in queries.station_queue(session, station_id, limit=100)],
            lambda: [each.lot.revision.part.number for each in queries.today(session, [station_id], DAY)[station_id]],
            lambda: [each.lot.revision.part.number for rows in queries.watched(session, now) for each in rows],
            lambda: queries.lot_outlooks(session),
        )
        return [_cost(engine, session, read) for read in reads]

    assert made(5) == made(45) == [1, 2, 2, 1]


def _cost(engine, session, read) -> int:
    session.rollback()
    with counted(engine) as seen:
        read()
    return len(seen)
