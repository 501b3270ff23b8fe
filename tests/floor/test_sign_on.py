"""Signing on at a station with badge and PIN, working together, signing off."""

import pytest
import sqlalchemy as sa

from app.core.scan_code import CodeKind, format_code, next_number
from app.floor.models import SignOn
from app.lots.models import Posting
from app.lots.queries.names import operation_code
from tests.factories.lots import station_of
from tests.floor.conftest import PIN, refusal, words

WHO = '<div class="station-people"'


def who(tablet):
    """Return who a station's page says is signed on, the one who acts first, without where the name leads."""
    text = tablet.get().text
    found = words(text[text.index(WHO) : text.index('<div class="station-signs"')])
    return found.replace(" , all my machines", "")


@pytest.fixture
def free_tablet(tablet_at, lot):
    return tablet_at(station_of(lot.operations[0]))


def test_a_badge_asks_for_the_pin_and_the_pin_signs_on(session, free_tablet, sam, now):
    response = free_tablet.scan(sam.badge_code)
    assert response.location == f"{free_tablet.home}/sign-on?badge={sam.badge_code}"
    assert "Sam Okafor, your PIN" in words(free_tablet.client.get(response.location).text)
    assert free_tablet.sign_on(sam).location == free_tablet.home
    assert who(free_tablet) == "Sam Okafor Leave Sam Okafor"
    assert session.scalars(sa.select(SignOn.person_id)).all() == [sam.id]


def test_a_wrong_pin_is_said_beside_the_field_and_signs_nobody_on(session, free_tablet, sam):
    response = free_tablet.sign_on(sam, pin="0000")
    assert response.status_code == 422
    assert "That PIN is not right. 4 more tries" in response.text
    assert 'value="0000"' not in response.text
    assert session.scalars(sa.select(SignOn)).all() == []


def test_five_wrong_pins_lock_the_person_at_every_station_with_badge_alone_too(free_tablet, tablet_at, lot, sam):
    free_tablet.sign_on(sam)
    other = tablet_at(station_of(lot.operations[1]))
    for _ in range(5):
        response = other.sign_on(sam, pin="0000")
    assert "Sam Okafor is locked until" in response.text
    assert "is locked until" in refusal(free_tablet.scan(sam.badge_code))


def test_an_empty_pin_is_asked_for(free_tablet, sam):
    response = free_tablet.sign_on(sam, pin="")
    assert response.status_code == 422
    assert "Type your PIN." in response.text


def test_a_badge_of_nobody_is_refused(free_tablet):
    badge = format_code(CodeKind.BADGE, next_number(CodeKind.BADGE, 7))
    assert refusal(free_tablet.scan(badge)).startswith("This badge belongs to nobody here now.")


@pytest.mark.parametrize("badge", ["", "L00001O", "nonsense"])
def test_a_pin_form_without_a_badge_is_refused(free_tablet, badge):
    assert free_tablet.post("/sign-ons", badge=badge, pin=PIN).status_code == 422
    assert free_tablet.get(f"/sign-on?badge={badge}").status_code == 422


def test_where_the_pin_was_given_today_the_badge_alone_signs_on_again(free_tablet, sam, clock):
    free_tablet.sign_on(sam)
    free_tablet.post(f"/sign-ons/{1}/end")
    assert who(free_tablet).startswith("Nobody signed on.")
    assert free_tablet.scan(sam.badge_code).location == free_tablet.home
    assert who(free_tablet).startswith("Sam Okafor")


def test_another_device_asks_for_the_pin(free_tablet, tablet_at, lot, sam):
    free_tablet.sign_on(sam)
    other = tablet_at(station_of(lot.operations[1]))
    assert "/sign-on?badge=" in other.scan(sam.badge_code).location


def test_the_next_day_the_device_asks_for_the_pin_again(free_tablet, sam, clock):
    free_tablet.sign_on(sam)
    clock.forward(hours=16)  # 01:00 in Chicago
    assert "/sign-on?badge=" in free_tablet.scan(sam.badge_code).location


def test_a_changed_pin_ends_what_the_device_remembers(session, free_tablet, sam):
    free_tablet.sign_on(sam)
    sam.pin_hash = "another"
    session.commit()
    assert "/sign-on?badge=" in free_tablet.scan(sam.badge_code).location


def test_somebody_who_left_the_shop_is_signed_on_no_more(session, free_tablet, sam):
    free_tablet.sign_on(sam)
    sam.active = False
    session.commit()
    assert who(free_tablet).startswith("Nobody signed on.")


def test_the_shops_idle_time_signs_off_and_any_change_keeps_on(session, shop, free_tablet, sam, lot, clock):
    shop.idle_minutes = 30
    session.commit()
    free_tablet.sign_on(sam)
    clock.forward(minutes=29)
    free_tablet.scan(operation_code(lot.operations[0]))
    clock.forward(minutes=29)
    assert who(free_tablet).startswith("Sam Okafor")
    clock.forward(minutes=2)
    assert who(free_tablet).startswith("Nobody signed on.")
    response = free_tablet.post(free_tablet.at(lot.operations[0], "/pauses"))
    assert refusal(response) == "Scan your badge first: nobody is signed on at this station."


def test_looking_at_the_page_keeps_nobody_signed_on(session, shop, free_tablet, sam, clock):
    shop.idle_minutes = 30
    session.commit()
    free_tablet.sign_on(sam)
    for _ in range(4):
        clock.forward(minutes=10)
        free_tablet.get()
    assert who(free_tablet).startswith("Nobody signed on.")


def test_the_end_of_an_idle_sign_on_is_written_down_when_somebody_comes(session, shop, free_tablet, sam, person, clock):
    shop.idle_minutes = 30
    session.commit()
    free_tablet.sign_on(sam)
    begun = clock.now
    clock.forward(hours=3)
    free_tablet.sign_on(person(name="Kim"))
    assert session.scalars(sa.select(SignOn.ended_at).order_by(SignOn.id)).first() == begun.replace(minute=30)


def test_another_badge_takes_over_and_one_tap_keeps_both(session, free_tablet, sam, person, lot, clock):
    kim = person(name="Kim Lindqvist")
    free_tablet.sign_on(sam)
    clock.forward(minutes=1)
    free_tablet.sign_on(kim)
    assert who(free_tablet) == "Kim Lindqvist Leave Kim Lindqvist took over from Sam Okafor Both work here"
    assert free_tablet.post("/sign-ons/keep").location == free_tablet.home
    assert who(free_tablet) == "Kim Lindqvist Leave Kim Lindqvist with Sam Okafor Leave Sam Okafor"
    free_tablet.scan(operation_code(lot.operations[0]))
    assert session.scalars(sa.select(Posting.person_id).order_by(Posting.id.desc())).first() == kim.id


def test_of_two_who_work_together_the_last_badge_is_who_acts(session, free_tablet, sam, person, lot, clock):
    kim = person(name="Kim Lindqvist")
    free_tablet.sign_on(sam)
    free_tablet.sign_on(kim)
    free_tablet.post("/sign-ons/keep")
    free_tablet.scan(sam.badge_code)
    assert who(free_tablet).startswith("Sam Okafor Leave Sam Okafor with Kim Lindqvist")
    free_tablet.scan(operation_code(lot.operations[0]))
    assert session.scalars(sa.select(Posting.person_id).order_by(Posting.id.desc())).first() == sam.id


def test_nobody_is_kept_who_was_taken_over_from_long_ago(free_tablet, sam, person, clock):
    free_tablet.sign_on(sam)
    clock.forward(minutes=1)
    free_tablet.sign_on(person(name="Kim"))
    clock.forward(minutes=11)
    assert "took over" not in who(free_tablet)
    assert refusal(free_tablet.post("/sign-ons/keep")) == "This person is not signed on here any more."


def test_one_person_may_be_signed_on_at_several_stations(free_tablet, tablet_at, lot, sam):
    other = tablet_at(station_of(lot.operations[1]))
    free_tablet.sign_on(sam)
    other.sign_on(sam)
    assert who(free_tablet).startswith("Sam Okafor")
    assert who(other).startswith("Sam Okafor")


def test_signing_off_ends_it_here_and_leaves_open_work_open(session, tablet, begun, sam):
    sign_on = session.scalars(sa.select(SignOn)).one()
    assert tablet.post(f"/sign-ons/{sign_on.id}/end").location == tablet.home
    page = tablet.get().text
    assert "Sam Okafor has left this station." in words(page)
    assert "Setting up since" in page
    assert refusal(tablet.post(f"/sign-ons/{sign_on.id}/end")) == "This person is not signed on here any more."


def test_the_page_is_open_to_all_and_no_office_sign_in_helps_on_the_floor(as_owner, tablet_at, lot):
    tablet = tablet_at(station_of(lot.operations[0]))
    tablet.client = as_owner
    assert tablet.get().status_code == 200
    response = tablet.scan(operation_code(lot.operations[0]))
    assert refusal(response).startswith("Scan your badge first")


def test_after_signing_on_the_browser_is_sent_only_to_the_floors_own_pages(free_tablet, sam):
    for address in ("//other.example", "https://other.example", "/people", "/floor/stations/1\\@other"):
        response = free_tablet.post("/sign-ons", badge=sam.badge_code, pin=PIN, then=address)
        assert response.location == free_tablet.home
