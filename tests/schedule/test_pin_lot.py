"""Pinning lots by hand: who may, in what order they then go, and what the forecast makes of it."""

from datetime import date

import pytest
import sqlalchemy as sa

from app.lots.errors import LotNotFoundError
from app.lots.models import Lot
from app.lots.queries import lot_name
from app.schedule.errors import LotFinishedError, NotPinnedError
from app.schedule.models import PinChange
from app.schedule.queries import station_queue
from app.schedule.services import Place, pin_lot, unpin_lot
from app.shared.database import change_number
from tests.factories.lots import MORNING, make_lot, station_of
from tests.factories.schedule import plan_now, routing_of, single


@pytest.fixture
def three(session):
    """Return three lots of one part, due one after the other."""
    routing = routing_of(single(1))
    return [make_lot(session, pieces=10, routing=routing, due_on=date(2026, 1, day)) for day in (9, 12, 13)]


def pins(session):
    session.rollback()
    return {row[0]: row[1] for row in session.execute(sa.select(Lot.id, Lot.pin).where(Lot.pin.is_not(None)))}


def order(session, now, lots):
    plan_now(session, now)
    return [queued.lot.id for queued in station_queue(session, station_of(lots[0].operations[0]).id)]


def test_a_pinned_lot_goes_first_and_an_unpinned_one_by_its_due_date_again(session, three, now):
    first, second, third = (lot.id for lot in three)
    assert order(session, now, three) == [first, second, third]
    pin_lot(session, third, None, MORNING)
    assert order(session, now, three) == [third, first, second]
    unpin_lot(session, third, None, MORNING)
    assert order(session, now, three) == [first, second, third]


def test_pinned_lots_are_moved_among_each_other(session, three):
    first, second, third = (lot.id for lot in three)
    for lot_id in (first, second, third):
        pin_lot(session, lot_id, None, MORNING)
    assert pins(session) == {third: 1, second: 2, first: 3}
    pin_lot(session, first, None, MORNING, Place.EARLIER)
    assert pins(session) == {third: 1, first: 2, second: 3}
    pin_lot(session, third, None, MORNING, Place.LATER)
    assert pins(session) == {first: 1, third: 2, second: 3}
    pin_lot(session, first, None, MORNING, Place.EARLIER)
    pin_lot(session, second, None, MORNING, Place.LATER)
    assert pins(session) == {first: 1, third: 2, second: 3}
    unpin_lot(session, first, None, MORNING)
    assert pins(session) == {third: 1, second: 2}


def test_a_change_of_pins_is_a_change_for_the_planner(session, three):
    before = change_number(session)
    pin_lot(session, three[2].id, None, MORNING)
    assert change_number(session) == before + 1
    pin_lot(session, three[2].id, None, MORNING)
    assert change_number(session) == before + 1


def test_what_cannot_be_pinned_is_refused_in_plain_words(session, three, now):
    three[0].closed_at = now
    session.commit()
    with pytest.raises(LotFinishedError, match="is finished: nothing of it is left to put first"):
        pin_lot(session, three[0].id, None, MORNING)
    with pytest.raises(NotPinnedError, match="is not pinned any more"):
        pin_lot(session, three[1].id, None, MORNING, Place.LATER)
    with pytest.raises(LotNotFoundError):
        pin_lot(session, 999, None, MORNING)
    with pytest.raises(LotNotFoundError):
        unpin_lot(session, 999, None, MORNING)
    assert pins(session) == {}


def test_a_setup_lead_pins_and_unpins_with_the_buttons(session, as_setup_lead, three):
    lot = three[2]
    page = as_setup_lead.get("/schedule/lots").text
    assert f"Run {lot_name(lot)} before all others" in page
    answer = as_setup_lead.post(f"/schedule/lots/{lot.id}/pin", data={"place": "front"})
    assert (answer.status_code, answer.location) == (303, f"/schedule/lots/{lot.id}")
    page = as_setup_lead.get(answer.location).text
    assert f"Lot {lot_name(lot)} is pinned to place 1." in page
    assert "Pinned, place 1" in page
    assert as_setup_lead.post(f"/schedule/lots/{lot.id}/unpin").status_code == 303
    assert pins(session) == {}


def test_who_pinned_a_lot_and_when_is_kept_and_shown(session, as_setup_lead, three, clock):
    lot_id = three[2].id
    as_setup_lead.post(f"/schedule/lots/{lot_id}/pin", data={"place": "front"})
    pinned = f"{as_setup_lead.person.name}, Wed 7 Jan 09:00"
    assert pinned in as_setup_lead.get(f"/schedule/lots/{lot_id}").text
    assert pinned in as_setup_lead.get(f"/schedule/lots/{lot_id}/outlook").text
    clock.forward(minutes=5)
    as_setup_lead.post(f"/schedule/lots/{lot_id}/unpin")
    as_setup_lead.post(f"/schedule/lots/{lot_id}/unpin")
    page = as_setup_lead.get(f"/schedule/lots/{lot_id}").text
    assert "Wed 7 Jan 09:05" in page
    assert "Pinned to place 1" in page
    assert "by hand" not in as_setup_lead.get(f"/schedule/lots/{lot_id}/outlook").text
    session.rollback()
    kept = session.scalars(sa.select(PinChange).order_by(PinChange.id)).all()
    assert [(each.place, each.changed_by_id) for each in kept] == [
        (1, as_setup_lead.person.id),
        (None, as_setup_lead.person.id),
    ]


def test_nonsense_and_refusals_are_answered_in_words(session, as_owner, three, now):
    lot_id = three[0].id
    wrong = as_owner.post(f"/schedule/lots/{lot_id}/pin", data={"place": "somewhere"})
    assert (wrong.status_code, "Use the buttons of the page" in wrong.text) == (400, True)
    refused = as_owner.post(f"/schedule/lots/{lot_id}/pin", data={"place": "later"})
    assert (refused.status_code, "is not pinned any more" in refused.text) == (409, True)
    assert as_owner.post("/schedule/lots/999/pin", data={"place": "front"}).status_code == 404
    assert pins(session) == {}


@pytest.mark.parametrize("who", ["as_operator", "as_inspector"])
def test_only_owners_and_setup_leads_pin(request, session, three, who):
    browser = request.getfixturevalue(who)
    assert "Run first" not in browser.get("/schedule/lots").text
    assert browser.post(f"/schedule/lots/{three[0].id}/pin", data={"place": "front"}).status_code == 403
    assert browser.post(f"/schedule/lots/{three[0].id}/unpin").status_code == 403
    assert pins(session) == {}
