"""What planning and other areas read of the shop."""

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest

from app.stations import queries
from app.stations.errors import NoShopError
from tests.factories.stations import ClosureFactory, DowntimeFactory, OvertimeFactory, ShopFactory, StationFactory
from tests.statements import counted


def test_the_shop_and_its_zone(session):
    with pytest.raises(NoShopError, match="The shop is not set up yet"):
        queries.shop(session)
    assert queries.find_shop(session) is None
    shop = ShopFactory(time_zone="America/Chicago")
    assert queries.shop(session) is shop
    assert queries.shop_zone(session) == ZoneInfo("America/Chicago")


def test_a_page_that_needs_the_shop_says_who_fills_it_in(as_owner):
    response = as_owner.get("/closures")
    assert response.status_code == 409
    assert "The shop is not set up yet. An owner fills in the page Shop settings first." in response.text


def test_all_that_a_calendar_needs_takes_four_statements_however_many_stations_there_are(engine, session, now):
    def read() -> list[str]:
        session.expunge_all()
        with counted(engine) as sent:
            for station in queries.all_stations(session, now):
                assert station.work_center.name
                assert (len(station.shifts), len(station.overtimes), len(station.downtimes)) == (5, 1, 1)
        return sent

    hour = timedelta(hours=1)
    for count in (1, 12):
        for station in StationFactory.create_batch(count):
            OvertimeFactory(station=station, starts_at=now, ends_at=now + hour)
            OvertimeFactory(station=station, starts_at=now - 2 * hour, ends_at=now)
            DowntimeFactory(station=station, starts_at=now - hour, ends_at=now + hour)
            DowntimeFactory(station=station, starts_at=now - 3 * hour, ends_at=now - 2 * hour)
        assert len(read()) == 4


def test_closed_days_are_read_from_a_day_on(session):
    for day in (date(2025, 12, 25), date(2026, 1, 1), date(2026, 5, 25)):
        ClosureFactory(day=day)
    assert queries.closed_days(session, date(2026, 1, 1)) == {date(2026, 1, 1), date(2026, 5, 25)}
    between = queries.closures_between(session, date(2026, 1, 1), date(2026, 1, 31))
    assert [closure.day for closure in between] == [date(2026, 1, 1)]


def test_a_request_reads_the_shop_once(engine, as_owner):
    ShopFactory()
    with counted(engine) as sent:
        as_owner.get("/shop")
    assert len([statement for statement in sent if "FROM shop" in statement]) == 1


def test_static_files_cost_no_statement(engine, client):
    with counted(engine) as sent:
        client.get("/static/css/lotwright.css").close()
    assert sent == []
