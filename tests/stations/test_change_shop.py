"""The settings of the shop."""

import pytest
import sqlalchemy as sa

from app.shared.database import change_number
from app.stations.models import Shop
from tests.factories.stations import ShopFactory

TYPED = {
    "name": "Harbor Lane Machine",
    "time_zone": "America/Denver",
    "units": "inch",
    "shipping_cutoff": "16:00",
    "country": "US",
    "state": "",
    "lift_limit": "50 lb",
    "idle_minutes": "90",
    "sure_percent": "99",
    "address": "http://shop-pc:8080/",
}


def stored(session):
    session.rollback()
    return session.scalars(sa.select(Shop)).one()


def test_an_owner_changes_every_setting_and_planning_looks_again(as_owner, session):
    ShopFactory()
    before = change_number(session)
    assert as_owner.post("/shop", data=TYPED).location == "/shop"
    shop = stored(session)
    assert (shop.time_zone, shop.idle_minutes, shop.sure_percent) == ("America/Denver", 90, 99)
    assert (shop.lift_limit_grams, shop.address) == (22_680, "http://shop-pc:8080")  # 50 x 453.59237 g (NIST SP 811)
    assert change_number(session) == before + 1


@pytest.mark.parametrize(
    ("typed", "units", "grams"),
    [("25 kg", "inch", 25_000), ("25", "metric", 25_000), ("50", "inch", 22_680), ("50 lb", "metric", 22_680)],
)
def test_the_lift_limit_is_typed_with_its_unit_or_in_the_shops(as_owner, session, typed, units, grams):
    ShopFactory()
    as_owner.post("/shop", data={**TYPED, "lift_limit": typed, "units": units})
    assert stored(session).lift_limit_grams == grams


def test_saving_what_is_shown_changes_nothing(as_owner, session):
    shop = ShopFactory(lift_limit_grams=22_680)
    assert 'value="50 lb"' in as_owner.get("/shop").text
    as_owner.post("/shop", data={**TYPED, "lift_limit": "50 lb"})
    assert stored(session).lift_limit_grams == shop.lift_limit_grams


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"lift_limit": "heavy"}, "Type a number, such as 12.5; “heavy” is not one."),
        ({"lift_limit": "0"}, "Enter a weight above zero, such as 50 lb or 23 kg."),
        ({"lift_limit": ""}, "Enter the heaviest load that one person lifts by hand."),
        ({"idle_minutes": "0"}, "It must be 1 or more."),
        ({"idle_minutes": "1441"}, "It must be 1,440 or less."),
        ({"sure_percent": "100"}, "It must be 99 or less."),
        ({"address": "shop-pc"}, "Enter http:// and the computer's name, such as http://shop-pc:8080."),
        ({"address": "javascript:alert(1)"}, "Enter http:// and the computer's name"),
        ({"time_zone": "Nowhere"}, "Nowhere is no time zone."),
        ({"state": "Bavaria"}, "Bavaria is none of this country"),
        ({"units": "cubits"}, "Not a valid choice."),
    ],
)
def test_what_cannot_be_is_refused_beside_the_field_and_nothing_is_stored(as_owner, session, wrong, message):
    ShopFactory()
    response = as_owner.post("/shop", data={**TYPED, **wrong})
    assert response.status_code == 422
    assert message in response.text.replace("&#39;", "'")
    assert stored(session).time_zone == "America/Chicago"


@pytest.mark.parametrize("who", ["as_setup_lead", "as_operator", "as_inspector"])
def test_others_see_the_settings_and_cannot_change_them(request, session, who):
    ShopFactory()
    browser = request.getfixturevalue(who)
    page = browser.get("/shop")
    assert page.status_code == 200
    assert "America/Chicago" in page.text
    assert '<form class="form"' not in page.text
    assert browser.post("/shop", data=TYPED).status_code == 403


def test_times_on_pages_are_the_shops(as_owner, session, clock):
    ShopFactory(time_zone="Asia/Kolkata")
    person = as_owner.person
    person.locked_until = clock.now.replace(hour=16)
    session.commit()
    assert "Locked until 21:30" in as_owner.get("/people").text
