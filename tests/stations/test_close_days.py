"""Closed days: public holidays to tick, and the shop's own."""

from datetime import date

import pytest
import sqlalchemy as sa

from app.stations import queries
from app.stations.errors import UnknownCountryError, UnknownStateError
from app.stations.models import Closure
from tests.factories.stations import ClosureFactory, ShopFactory
from tests.statements import counted

# Days on which federal offices in the United States are closed, weekend holidays moved to the working day beside them:
# 5 U.S.C. 6103 and the OPM list of federal holidays for each year.
OBSERVED = {
    2026: "01-01 01-19 02-16 05-25 06-19 07-03 09-07 10-12 11-11 11-26 12-25",
    2027: "01-01 01-18 02-15 05-31 06-18 07-05 09-06 10-11 11-11 11-25 12-24 12-31",
}


@pytest.fixture
def shop(session):
    return ShopFactory()


def closed(session):
    session.rollback()
    return {f"{each.day}": each.name for each in session.scalars(sa.select(Closure).order_by(Closure.day))}


@pytest.mark.parametrize("year", [2026, 2027])
def test_the_offered_working_days_of_the_united_states_are_the_published_observed_holidays(year):
    offered = [each.day for each in queries.offered_days("US", "", year) if each.day.weekday() < 5]
    assert [f"{day:%m-%d}" for day in offered] == OBSERVED[year].split()


def test_a_holiday_on_a_weekend_is_offered_too_for_shops_that_work_then():
    names = {each.day: each.name for each in queries.offered_days("US", "", 2026)}
    assert names[date(2026, 7, 3)] == "Independence Day (observed)"
    assert names[date(2026, 7, 4)] == "Independence Day"


def test_a_state_adds_its_own_days_and_is_found_by_name_or_code():
    texas = {each.day for each in queries.offered_days("US", "texas", 2026)}
    assert date(2026, 3, 2) in texas - {each.day for each in queries.offered_days("US", "", 2026)}
    assert queries.state_code("US", " tx ") == queries.state_code("US", "Texas") == "TX"


def test_an_unknown_country_or_state_is_refused():
    with pytest.raises(UnknownCountryError):
        queries.states("XX")
    with pytest.raises(UnknownStateError, match="Atlantis is none of this country's"):
        queries.offered_days("US", "Atlantis", 2026)


def test_ticked_holidays_close_the_shop_and_unticked_open_it(as_setup_lead, shop, session):
    ClosureFactory(day=date(2026, 7, 3), name="Independence Day (observed)")
    ClosureFactory(day=date(2026, 8, 10), name="Summer shutdown")
    ticks = {"country": "US", "state": "", "year": "2026", "days": ["2026-12-25", "2026-01-01"]}
    response = as_setup_lead.post("/closures/holidays", data=ticks)
    assert response.status_code == 303
    assert closed(session) == {
        "2026-01-01": "New Year's Day",
        "2026-08-10": "Summer shutdown",
        "2026-12-25": "Christmas Day",
    }
    page = as_setup_lead.get(response.location).text
    assert page.count("checked") == 2


def test_all_offered_days_can_be_closed_at_once(as_owner, shop, session):
    as_owner.post("/closures/holidays", data={"country": "US", "state": "", "year": "2026", "all": "1"})
    assert len(closed(session)) == 12


def test_a_day_that_is_not_offered_cannot_be_ticked(as_owner, shop, session):
    as_owner.post("/closures/holidays", data={"country": "US", "state": "", "year": "2026", "days": ["2026-08-10"]})
    assert closed(session) == {}


def test_the_chosen_country_and_state_become_the_shops(as_owner, shop, session):
    as_owner.post("/closures/holidays", data={"country": "CA", "state": "ON", "year": "2026"})
    session.refresh(shop)
    assert (shop.holiday_country, shop.holiday_state) == ("CA", "ON")
    assert "Family Day" in as_owner.get("/closures?year=2026").text


def test_choosing_a_country_shows_its_states_and_days_and_stores_nothing(as_owner, shop, session):
    page = as_owner.get("/closures?country=DE&year=2026").text
    assert ">Bayern</option>" in page or ">Bavaria</option>" in page
    assert "Thu 1 Jan" in page
    session.refresh(shop)
    assert shop.holiday_country == "US"


@pytest.mark.parametrize("address", ["?country=XX", "?state=ZZ", "?year=9999", "?year=soon"])
def test_nonsense_in_the_address_gets_a_page(as_owner, shop, address):
    assert as_owner.get(f"/closures{address}").status_code == 200


@pytest.mark.parametrize("wrong", [{"country": "XX"}, {"state": "ZZ"}, {"year": "soon"}, {"days": "soon"}])
def test_nonsense_in_the_ticks_is_refused_and_nothing_is_stored(as_owner, shop, session, wrong):
    ticks = {"country": "US", "state": "", "year": "2026", "days": ["2026-12-25"]}
    assert as_owner.post("/closures/holidays", data={**ticks, **wrong}).status_code in {409, 422}
    assert closed(session) == {}


def test_the_shop_closes_on_days_of_its_own(as_setup_lead, shop, session):
    ClosureFactory(day=date(2026, 8, 11), name="Inventory")
    typed = {"first": "2026-08-10", "last": "2026-08-12", "name": "Summer shutdown"}
    response = as_setup_lead.post("/closures", data=typed)
    assert (response.status_code, response.location) == (303, "/closures?year=2026")
    assert list(closed(session).values()) == ["Summer shutdown", "Inventory", "Summer shutdown"]


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"first": ""}, "Enter a day."),
        ({"first": "soon"}, "Enter a date as year-month-day"),
        ({"last": "2026-08-09"}, "It has to end after it starts."),
        ({"last": "2026-10-09"}, "Close at most 60 days at once."),
        ({"name": " "}, "Say why, such as Summer shutdown."),
        ({"first": "2026-12-25", "last": ""}, "Fri 25 Dec 2026 is closed already: Christmas Day."),
    ],
)
def test_what_cannot_be_is_refused_beside_the_field_and_nothing_is_stored(as_owner, shop, session, wrong, message):
    ClosureFactory(day=date(2026, 12, 25), name="Christmas Day")
    typed = {"first": "2026-08-10", "last": "2026-08-12", "name": "Summer shutdown"}
    response = as_owner.post("/closures", data={**typed, **wrong})
    assert response.status_code == 422
    assert message in response.text
    assert list(closed(session)) == ["2026-12-25"]


def test_a_closed_day_is_opened_once_and_for_all(as_owner, shop, session):
    closure = ClosureFactory(day=date(2026, 8, 10), name="Inventory")
    for _ in range(2):
        response = as_owner.post(f"/closures/{closure.id}/remove", data={"year": "2026"})
        assert response.location == "/closures?year=2026"
    assert closed(session) == {}


def test_the_page_takes_the_same_statements_for_one_closed_day_and_for_a_year_of_them(engine, as_owner, shop):
    with counted(engine) as few:
        as_owner.get("/closures?year=2026")
    for month in range(1, 13):
        ClosureFactory(day=date(2026, month, 10), name="Day off")
    with counted(engine) as many:
        as_owner.get("/closures?year=2026")
    assert len(many) == len(few) <= 3
