"""The first start: a shop and its first owner."""

import pytest
import sqlalchemy as sa

from app.people.models import Person, Role
from app.shared.units import UnitSystem
from app.stations.models import Shop, WorkCenter
from app.stations.wiring import on_setup
from tests.factories.people import PersonFactory
from tests.factories.stations import ShopFactory

TYPED = {
    "name": "Harbor Lane Machine",
    "time_zone": "America/Chicago",
    "units": "inch",
    "shipping_cutoff": "15:30",
    "country": "US",
    "state": "Iowa",
    "owner_name": "Ada Quill",
    "owner_initials": "aq",
    "owner_password": "four plain words",
}


def rows(session, model):
    session.rollback()
    return list(session.scalars(sa.select(model)))


@pytest.mark.parametrize("path", ["/", "/people", "/stations", "/sign-in", "/nowhere"])
def test_before_there_is_a_shop_every_page_leads_to_its_setup(client, path):
    response = client.get(path)
    assert (response.status_code, response.location) == (303, "/setup")


def test_the_shop_and_its_owner_are_made_and_the_owner_is_signed_in(client, session):
    response = client.post("/setup", data=TYPED)
    assert (response.status_code, response.location) == (303, "/stations")
    (shop,), (owner,) = rows(session, Shop), rows(session, Person)
    assert (shop.name, shop.time_zone, shop.units) == ("Harbor Lane Machine", "America/Chicago", UnitSystem.INCH)
    assert (f"{shop.shipping_cutoff:%H:%M}", shop.holiday_country, shop.holiday_state) == ("15:30", "US", "IA")
    assert shop.lift_limit_grams == 23_133  # 51 lb, the load constant of the lifting equation (DHHS/NIOSH 94-110)
    assert (owner.name, owner.initials, owner.roles) == ("Ada Quill", "AQ", {Role.OWNER})
    assert "Ada Quill" in client.get("/stations").text


def test_other_areas_add_to_a_new_shop_in_the_same_transaction(app, client, session):
    on_setup(app, lambda new: new.add(WorkCenter(name="Bench")))
    client.post("/setup", data=TYPED)
    assert [each.name for each in rows(session, WorkCenter)] == ["Bench"]


def test_nothing_is_kept_when_another_areas_part_fails(app, client, session):
    def fail(_session) -> None:
        raise RuntimeError("no kinds")

    on_setup(app, fail)
    with pytest.raises(RuntimeError, match="no kinds"):
        client.post("/setup", data=TYPED)
    assert rows(session, Shop) == rows(session, Person) == []


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"name": ""}, "Enter the shop's name."),
        ({"time_zone": "Mars/Base"}, "Mars/Base is no time zone. Choose one such as America/Chicago."),
        ({"units": ""}, "Choose the units."),
        ({"shipping_cutoff": "25:00"}, "Enter a time of day from 00:00 to 23:59, such as 06:30."),
        ({"country": "XX"}, "No holidays are known for this country."),
        ({"state": "Bavaria"}, "Bavaria is none of this country&#39;s: "),
        ({"country": "DE", "state": "Iowa"}, "Iowa is none of this country&#39;s: "),
        ({"owner_name": " "}, "Enter your name."),
        ({"owner_initials": ""}, "Enter one to four letters."),
        ({"owner_password": ""}, "Choose a password."),
        ({"owner_password": "short"}, "The password is too short."),
    ],
)
def test_what_cannot_be_is_refused_beside_the_field_and_nothing_is_stored(client, session, wrong, message):
    response = client.post("/setup", data={**TYPED, **wrong})
    assert response.status_code == 422
    assert message in response.text
    assert rows(session, Shop) == rows(session, Person) == []
    if "name" not in wrong:
        assert 'value="Harbor Lane Machine"' in response.text


@pytest.mark.parametrize("method", ["get", "post"])
def test_with_an_owner_the_page_is_closed(client, session, method):
    PersonFactory(roles=[Role.OWNER])
    response = getattr(client, method)("/setup", data=TYPED)
    assert response.status_code == 409
    assert "This shop has an owner already." in response.text
    assert rows(session, Shop) == []


def test_an_owner_made_by_a_command_finds_the_settings_page(as_owner, session):
    settings = {
        **{name: TYPED[name] for name in ("name", "time_zone", "units", "shipping_cutoff", "country", "state")},
        "lift_limit": "50 lb",
        "idle_minutes": "240",
        "sure_percent": "95",
        "address": "",
    }
    assert as_owner.get("/shop").status_code == 200
    assert as_owner.post("/shop", data=settings).status_code == 303
    assert [shop.name for shop in rows(session, Shop)] == ["Harbor Lane Machine"]


def test_a_shop_once_set_up_leads_nobody_away(client, session):
    ShopFactory()
    assert client.get("/sign-in").status_code == 200


def test_zones_of_the_united_states_come_first(client):
    page = client.get("/setup").text
    assert page.index('value="America/Chicago"') < page.index('value="Africa/Abidjan"')
    assert page.count('value="America/Chicago"') == 1
    assert 'value="UTC"' in page
