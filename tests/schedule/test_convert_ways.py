"""How stations work over closed time and how fast, families of set-up and people: from rows through the planner.

It is Wednesday 7 January 2026, 9:00 in Chicago; stations are open from 6:00 to 18:00. Times are minutes from 9:00.
"""

from datetime import time

from app.core.shop import OverClosed
from app.schedule.queries import why
from app.stations.models import Crew, Overtime
from tests.factories.lots import make_lot
from tests.factories.schedule import forecast_of, plan_now, routing_of, single, spans_of


def station_of(routing):
    return routing.operations[0].work_center.stations[0]


def test_a_quicker_station_takes_less_time(session, now):
    routing = routing_of(single(2))
    station_of(routing).pace = 125
    session.commit()
    lot = make_lot(session, pieces=10, routing=routing)
    plan_now(session, now)
    assert spans_of(session, lot, now) == [(0, 16)]


def test_work_goes_on_alone_after_the_people_leave_or_is_not_begun_unless_it_fits(session, now):
    alone, must_fit = routing_of(single(60)), routing_of(single(60))
    station_of(alone).over_closed, station_of(alone).unattended_minutes = OverClosed.UNATTENDED, 240
    station_of(must_fit).over_closed = OverClosed.FIT
    session.commit()
    lots = [make_lot(session, pieces=10, routing=each) for each in (alone, must_fit)]
    plan_now(session, now)
    assert spans_of(session, lots[0], now) == [(0, 600)]
    assert spans_of(session, lots[1], now) == [(21 * 60, 31 * 60)]
    assert why(forecast_of(session, lots[1])) == [
        f"For 9\u00a0h too little time was left before {station_of(must_fit).name} closes to begin it"
    ]


def test_set_up_is_shorter_within_a_family(session, now):
    plan = {**single(1, setup=30), "setup_family": "vise 6 in", "family_setup_seconds": 300}
    routing = routing_of(plan, plan)
    routing.operations[1].work_center = routing.operations[0].work_center
    session.commit()
    lot = make_lot(session, pieces=10, routing=routing)
    plan_now(session, now)
    assert spans_of(session, lot, now) == [(0, 40), (40, 55)]


def test_people_limit_the_work_and_overtime_brings_one(session, now):
    routings = [routing_of(single(60, tend_percent=100)) for _ in range(2)]
    session.add(Crew(name="Day", weekdays=[0, 1, 2, 3, 4], starts=time(6), ends=time(15), setters=0, tenders=1))
    session.commit()
    lots = [make_lot(session, pieces=2, routing=each) for each in routings]
    session.commit()
    plan_now(session, now)
    assert sorted(spans_of(session, lot, now)[0] for lot in lots) == [(0, 120), (120, 240)]
    assert any("Nobody was free" in said for lot in lots for said in why(forecast_of(session, lot)))
    session.add(Overtime(station=station_of(routings[1]), starts_at=now, ends_at=now.replace(hour=now.hour + 4)))
    session.commit()
    plan_now(session, now)
    assert [spans_of(session, lot, now) for lot in lots] == [[(0, 120)], [(0, 120)]]
