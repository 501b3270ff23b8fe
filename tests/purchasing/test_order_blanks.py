"""Ordering blanks: one purchase for several lots, and what is refused."""

import re
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
import sqlalchemy as sa

from app.material.models import MaterialOrder, MaterialOrderLine, Vendor
from app.purchasing.models import Purpose
from app.purchasing.queries import Key, material_to_order
from app.purchasing.services import NewPurchase, PurchaseLine, Share, order_material
from app.shared.errors import RefusedError
from app.stations.models import Closure
from tests.factories.lots import act
from tests.factories.material import VendorFactory
from tests.factories.people import PersonFactory
from tests.factories.purchasing import TODAY, make_blank, make_blank_order, make_waiting_lot
from tests.statements import counted


def bought(session):
    session.rollback()
    lines = session.scalars(sa.select(MaterialOrderLine).order_by(MaterialOrderLine.id))
    return [(line.units, line.pieces, line.expected_on) for line in lines]


def refusals(session, *lines, **more):
    facts: dict[str, Any] = {"vendor": "Copperfield Metals", "ordered_on": TODAY, "new_vendor": True} | more
    before = bought(session)
    with pytest.raises(RefusedError) as caught:
        order_material(session, act(), NewPurchase(lines=lines, **facts))
    assert bought(session) == before
    return {problem.place: str(problem.error) for problem in caught.value.problems}


def test_one_purchase_serves_several_lots_in_the_vendors_unit(session, blank):
    lots = [make_waiting_lot(session, blank) for _ in range(2)]
    person = PersonFactory()
    shares = tuple(Share(lot.id, 30) for lot in lots)
    line = PurchaseLine(Key(blank.id), shares, unit_price=Decimal("61.5"))
    new = NewPurchase("Copperfield Metals", TODAY, (line,), "CM-77", new_vendor=True)
    order = order_material(session, act(person_id=person.id), new)
    [made] = order.lines
    assert (order.vendor.name, order.their_number, order.ordered_by) == ("Copperfield Metals", "CM-77", person)
    assert (made.units, made.pieces_per_unit, made.unit_price) == (7, 9, Decimal("61.5"))
    purposes = session.scalars(sa.select(Purpose).order_by(Purpose.lot_id)).all()
    assert [(each.lot_id, each.pieces) for each in purposes] == [(lot.id, 30) for lot in lots]
    assert material_to_order(session, TODAY) == []


def test_one_purchase_orders_several_blanks(session, blank):
    other = make_blank(pieces_per_unit=1)
    lots = [make_waiting_lot(session, blank), make_waiting_lot(session, other)]
    lines = tuple(PurchaseLine(Key(lot.revision_id), (Share(lot.id, 30),)) for lot in lots)
    order = order_material(session, act(), NewPurchase("Nettle Steel", TODAY, lines, new_vendor=True))
    assert [line.units for line in order.lines] == [4, 30]


def test_a_row_with_nothing_in_it_is_no_part_of_the_purchase(session, blank):
    lot = make_waiting_lot(session, blank)
    empty = PurchaseLine(Key(make_blank().id), (Share(make_waiting_lot(session, blank).id, 0),))
    lines = (empty, PurchaseLine(Key(blank.id), (Share(lot.id, 30),)))
    order = order_material(session, act(), NewPurchase("Nettle Steel", TODAY, lines, new_vendor=True))
    assert [line.revision_id for line in order.lines] == [blank.id]


def test_blanks_can_be_ordered_for_stock(session, blank):
    order = make_blank_order(session, blank, units=3)
    assert (order.lines[0].pieces, session.scalars(sa.select(Purpose)).all()) == (27, [])


def test_the_lead_time_ends_on_a_working_day(session, blank):
    session.add(Closure(day=date(2026, 1, 12), name="Stocktaking"))
    session.commit()
    order = make_blank_order(session, blank, (make_waiting_lot(session, blank), 30))
    assert order.lines[0].expected_on == date(2026, 1, 13)  # Monday 12 January is closed


def test_a_known_vendor_is_found_however_it_is_typed(session, blank):
    vendor = VendorFactory(name="Nettle Steel")
    order = make_blank_order(session, blank, (make_waiting_lot(session, blank), 30), vendor="nettle steel")
    assert order.vendor == vendor
    assert session.scalars(sa.select(sa.func.count(Vendor.id))).one() == 1


def test_an_unknown_vendor_needs_the_tick(session, blank):
    VendorFactory(name="Nettle Steel")
    line = PurchaseLine(Key(blank.id), (Share(make_waiting_lot(session, blank).id, 30),))
    said = refusals(session, line, vendor="Nettel Steel", new_vendor=False)
    assert said == {
        "vendor": "There is no vendor called Nettel Steel yet. Did you mean Nettle Steel? "
        "Correct the name, or tick 'New vendor' to add it."
    }
    assert session.scalars(sa.select(Vendor.name)).all() == ["Nettle Steel"]


def test_a_former_vendor_is_refused(session, blank):
    VendorFactory(name="Nettle Steel", active=False)
    line = PurchaseLine(Key(blank.id), (Share(make_waiting_lot(session, blank).id, 30),))
    said = refusals(session, line, vendor="Nettle Steel")
    assert "is marked as a former vendor" in said["vendor"]


def test_fewer_units_than_the_lots_take_are_refused(session, blank):
    line = PurchaseLine(Key(blank.id), (Share(make_waiting_lot(session, blank).id, 30),), units=3)
    assert refusals(session, line) == {
        "lines-0-units": "That makes 27 pieces and lots are to get 30. Order 4, or enter fewer for a lot."
    }


def test_more_than_a_lot_waits_for_is_refused(session, blank):
    lot = make_waiting_lot(session, blank)
    said = refusals(session, PurchaseLine(Key(make_blank().id)), PurchaseLine(Key(blank.id), (Share(lot.id, 31),)))
    assert list(said) == ["lines-1-shares-0-pieces"]
    assert said["lines-1-shares-0-pieces"].endswith("waits for 30 pieces. Enter 30 or fewer.")


def test_the_same_form_twice_orders_once(session, blank):
    lot = make_waiting_lot(session, blank)
    make_blank_order(session, blank, (lot, 30))
    said = refusals(session, PurchaseLine(Key(blank.id), (Share(lot.id, 30),)))
    assert said["lines-0-shares-0-pieces"].endswith(
        "waits for 30 pieces. 30 of them are at hand or on order already. Leave it empty."
    )


def test_a_lot_of_another_blank_and_one_that_waits_for_nothing_are_refused(session, blank):
    other = make_waiting_lot(session, make_blank())
    said = refusals(session, PurchaseLine(Key(blank.id), (Share(other.id, 5), Share(99_999, 5))))
    assert "is made from another blank" in said["lines-0-shares-0-pieces"]
    assert "99999" in said["lines-0-shares-1-pieces"]


def test_what_the_purchase_itself_refuses_stands_at_its_row(session, blank):
    lot = make_waiting_lot(session, blank)
    lines = (
        PurchaseLine(Key(make_blank().id)),
        PurchaseLine(Key(blank.id), (Share(lot.id, 30),), expected_on=date(2026, 1, 6)),
    )
    said = refusals(session, *lines)
    assert list(said) == ["lines-1-expected_on"]
    assert "cannot be expected before it was ordered" in said["lines-1-expected_on"]
    said = refusals(session, lines[0])
    assert said == {"lines": "A material order needs at least one line."}
    said = refusals(session, PurchaseLine(Key(blank.id), (Share(lot.id, 30),)), ordered_on=date(2026, 1, 8))
    assert said["ordered_on"] == "It cannot have been ordered after today, Wed 7 Jan 2026."


def typed(blank, *lots, **more):
    sent = {
        "vendor": "Copperfield Metals",
        "new_vendor": "y",
        "their_number": "CM-1",
        "ordered_on": "2026-01-07",
        "lines-0-revision_id": blank.id,
        "lines-0-units": "",
        "lines-0-unit_price": "58.25",
        "lines-0-expected_on": "2026-01-19",
    }
    for at, (lot, pieces) in enumerate(lots):
        sent |= {f"lines-0-shares-{at}-lot_id": lot.id, f"lines-0-shares-{at}-pieces": pieces}
    return {name: str(value) for name, value in (sent | more).items()}


def test_the_form_is_filled_with_what_the_lots_wait_for_and_the_last_vendor_and_price(as_owner, session, blank):
    make_blank_order(session, blank, units=1, unit_price=Decimal("58.25"))
    lot = make_waiting_lot(session, blank, pieces=30)
    page = as_owner.get(f"/purchasing/orders/new?revision={blank.id}").text
    for value in ("Copperfield Metals", "58.25", "2026-01-12", "2026-01-07"):
        assert f'value="{value}"' in page, value
    assert 'name="lines-0-shares-0-pieces" type="number" value="21"' in page  # nine are on order for stock
    assert 'name="lines-0-units" type="number" value="3"' in page
    assert f'value="{lot.id}"' in page
    assert "One plate gives 9 pieces." in page


def test_ordering_leads_to_the_purchase(as_owner, session, blank):
    lots = [(make_waiting_lot(session, blank), 30), (make_waiting_lot(session, blank), 20)]
    answer = as_owner.post("/purchasing/orders", data=typed(blank, *lots))
    session.rollback()
    order = session.scalars(sa.select(MaterialOrder)).one()
    assert (answer.status_code, answer.location) == (303, f"/material-orders/{order.id}")
    assert order.ordered_by == as_owner.person
    assert bought(session) == [(6, 54, date(2026, 1, 19))]


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"vendor": " "}, "Enter the vendor."),
        ({"new_vendor": ""}, "There is no vendor called Copperfield Metals yet."),
        ({"lines-0-units": "3"}, "That makes 27 pieces and lots are to get 30."),
        ({"lines-0-units": "three"}, "Type a whole number, such as 12"),
        ({"lines-0-unit_price": "1.23456"}, "Type at most 4 digits after the point."),
        ({"lines-0-shares-0-pieces": "31"}, "waits for 30 pieces. Enter 30 or fewer."),
        ({"ordered_on": ""}, "Enter the day it was ordered."),
        ({"lines-0-shares-0-pieces": ""}, "A material order needs at least one line."),
    ],
)
def test_what_is_wrong_is_said_and_nothing_typed_is_lost(as_owner, session, blank, changed, said):
    answer = as_owner.post("/purchasing/orders", data=typed(blank, (make_waiting_lot(session, blank), 30)) | changed)
    assert answer.status_code == 422
    assert said in answer.text.replace("&#39;", "'")
    assert 'value="CM-1"' in answer.text
    assert 'value="2026-01-19"' in answer.text
    assert bought(session) == []


def test_without_a_blank_the_form_says_where_to_choose_one(as_owner):
    assert "Nothing was chosen." in as_owner.get("/purchasing/orders/new").text
    assert "Nothing was chosen." in as_owner.get("/purchasing/orders/new?revision=9999").text


def stock_only(blank, **more):
    return typed(blank, **{"key": "one-form", "lines-0-units": "3", **more})


def test_a_purchase_for_stock_that_is_sent_twice_is_made_once(as_owner, session, blank):
    first, again = (as_owner.post("/purchasing/orders", data=stock_only(blank)) for _ in range(2))
    assert (first.status_code, again.status_code) == (303, 303)
    assert first.location == again.location
    assert bought(session) == [(3, 27, date(2026, 1, 19))]


def test_the_same_key_with_other_content_is_refused_and_says_what_was_kept(as_owner, session, blank):
    as_owner.post("/purchasing/orders", data=stock_only(blank))
    answer = as_owner.post("/purchasing/orders", data=stock_only(blank, **{"lines-0-units": "5"}))
    assert answer.status_code == 422
    assert "This form was already recorded: an order from Copperfield Metals." in answer.text
    assert 'value="5"' in answer.text
    assert bought(session) == [(3, 27, date(2026, 1, 19))]


def test_every_form_that_is_shown_has_a_key_of_its_own_and_keeps_it_while_it_is_corrected(as_owner, blank):
    address = f"/purchasing/orders/new?revision={blank.id}"
    keys = [re.search(r'name="key"[^>]*value="(\w+)"', as_owner.get(address).text) for _ in range(2)]
    assert keys[0]
    assert keys[1]
    assert keys[0][1] != keys[1][1]
    assert 'value="one-form"' in as_owner.post("/purchasing/orders", data=stock_only(blank, vendor="")).text


def test_only_the_owner_orders(as_setup_lead, session, blank):
    lot = make_waiting_lot(session, blank)
    assert as_setup_lead.get(f"/purchasing/orders/new?revision={blank.id}").status_code == 403
    assert as_setup_lead.post("/purchasing/orders", data=typed(blank, (lot, 30))).status_code == 403


def test_the_form_sends_as_many_statements_for_many_blanks_as_for_one(as_owner, engine, session):
    def statements(revision_ids):
        address = "/purchasing/orders/new?" + "&".join(f"revision={each}" for each in revision_ids)
        with counted(engine) as sent:
            assert as_owner.get(address).status_code == 200
        return len(sent)

    blanks = [make_blank() for _ in range(4)]
    for each in blanks:
        make_blank_order(session, each, (make_waiting_lot(session, each), 9))
    revision_ids = [each.id for each in blanks]
    assert statements(revision_ids) == statements(revision_ids[:1]) <= 20
