"""How loaded the stations are by week, and which one holds up the others.

It is Wednesday 7 January 2026, 9:00 in Chicago; stations are open from 6:00 to 18:00 on weekdays.
"""

from datetime import date

from app.schedule import queries
from tests.factories.lots import make_lot, station_of
from tests.factories.schedule import plan_now, routing_of, single
from tests.statements import counted


def test_the_load_of_each_week_is_told_and_the_busiest_station_named(as_owner, session, engine, now):
    routing = routing_of(single(30), single(6))
    lot = make_lot(session, pieces=100, routing=routing)  # fifty hours, then ten
    plan_now(session, now)
    slow, quick = (station_of(operation) for operation in lot.operations)
    found = queries.load(session)
    assert found.mondays[:2] == [date(2026, 1, 5), date(2026, 1, 12)]
    weeks = {each.station.id: each.weeks for each in found.stations}
    # From Wednesday 9:00 on this week has 9 + 12 + 12 open hours, all of them busy; 17 of the 60 of the next are.
    assert [(each.open_s // 3600, each.busy_s // 3600) for each in weeks[slow.id][:2]] == [(33, 33), (60, 17)]
    assert weeks[quick.id][0].busy_s == 0
    assert found.bottleneck.id == slow.id
    page = as_owner.get("/schedule/load").text
    assert "100 %" in page
    assert 'data-label="from Mon 5 Jan"' in page  # on a phone each week has its line
    assert f"{slow.name} is busy for the largest share" in page
    with counted(engine) as statements:
        queries.load(session)
    assert len(statements) == 1


def test_before_the_first_forecast_there_is_no_load(as_owner):
    assert "No forecast has been made yet" in as_owner.get("/schedule/load").text
