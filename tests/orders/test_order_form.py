"""The order form before anything is kept: rows, suggestions, revisions, repeats and promises."""

import html
import re
from datetime import date

import pytest
import sqlalchemy as sa

from app.orders.models import CustomerOrder, DueMeans
from tests.factories.orders import CustomerFactory, DeliveryFactory
from tests.factories.parts import PartFactory, RevisionFactory, RoutingFactory
from tests.factories.stations import ShopFactory
from tests.orders.typed import order_form

PARTIAL = {"HX-Request": "true", "HX-Request-Type": "partial"}


@pytest.fixture
def shop(session):
    ShopFactory()
    CustomerFactory(name="Brightwater Pumps")
    revision = RevisionFactory(part__number="HB-100", part__name="Hinge block", label="B")
    RoutingFactory(revision=revision)
    return revision


def test_the_empty_form_has_one_line_one_delivery_and_today(shop, as_owner):
    page = as_owner.get("/orders/new").text
    assert 'name="received_on" required type="date" value="2026-01-07"' in page
    assert 'name="lines-0-deliveries-0-quantity"' in page
    assert 'name="lines-1-part"' not in page
    assert '<option value="Brightwater Pumps">' in page
    assert '<option value="HB-100">Hinge block</option>' in page


@pytest.mark.parametrize(
    ("button", "there", "gone"),
    [
        ({"add_line": "1"}, "lines-1-part", "lines-2-part"),
        ({"add_delivery": "0"}, "lines-0-deliveries-1-due", "lines-0-deliveries-2-due"),
        ({"look_up": "0"}, "lines-0-part", "lines-1-part"),
        ({"add_delivery": "7"}, "lines-0-deliveries-0-due", "lines-0-deliveries-1-due"),
        ({"remove_line": "0"}, "lines-0-part", "lines-1-part"),
        ({"remove_delivery": "0-0"}, "lines-0-deliveries-0-due", "lines-0-deliveries-1-due"),
        ({"remove_delivery": "nonsense"}, "lines-0-deliveries-0-due", "lines-0-deliveries-1-due"),
    ],
)
def test_a_button_adds_or_removes_a_row_and_keeps_nothing(shop, as_owner, session, button, there, gone):
    page = as_owner.post("/orders/new/rows", data=order_form(note="By truck") | button)
    assert page.status_code == 200
    assert f'name="{there}"' in page.text
    assert f'name="{gone}"' not in page.text
    assert 'value="12.50"' in page.text
    assert "By truck" in page.text
    assert session.scalars(sa.select(CustomerOrder)).all() == []


def test_removing_a_row_keeps_the_others_as_typed(shop, as_owner):
    sent = order_form(
        {"deliveries-1-quantity": "61", "deliveries-1-due": "2026-03-06"},
        **{"lines-1-part": "HB-200", "lines-1-deliveries-0-quantity": "7"},
    )
    without_first_delivery = as_owner.post("/orders/new/rows", data=sent | {"remove_delivery": "0-0"}).text
    assert 'name="lines-0-deliveries-0-quantity" required type="number" value="61"' in without_first_delivery
    without_first_line = as_owner.post("/orders/new/rows", data=sent | {"remove_line": "0"}).text
    assert 'value="HB-200"' in without_first_line
    assert 'value="HB-100" ' not in without_first_line.split('<datalist id="part-numbers"')[0]


def test_a_further_delivery_starts_with_the_same_quantity(shop, as_owner):
    page = as_owner.post("/orders/new/rows", data=order_form() | {"add_delivery": "0"}).text
    assert 'name="lines-0-deliveries-1-quantity" required type="number" value="50"' in page


def test_the_field_to_type_in_next_has_the_focus(shop, as_owner):
    def focused(page):
        return re.findall(r'<input[^>]*\bautofocus\b[^>]*\bname="([^"]*)"', page.text)

    assert focused(as_owner.get("/orders/new")) == ["customer"]
    assert focused(as_owner.post("/orders/new/rows", data=order_form(add_line="1"))) == ["lines-1-part"]
    more = as_owner.post("/orders/new/rows", data=order_form(add_delivery="0"))
    assert focused(more) == ["lines-0-deliveries-1-due"]
    assert focused(as_owner.get(f"/orders/new?part={DeliveryFactory().line.revision.part_id}")) == ["their_number"]


def test_there_is_room_for_a_hundred_lines(shop, as_owner):
    sent = order_form(**{f"lines-{at}-part": "HB-100" for at in range(100)})
    page = as_owner.post("/orders/new/rows", data=sent | {"add_line": "1"}).text
    assert 'name="lines-100-part"' not in page
    assert "There is room for 100 here. Save these, then add the others." in page


def test_htmx_gets_the_form_alone(shop, as_owner):
    fragment = as_owner.post("/orders/new/rows", data=order_form() | {"add_line": "1"}, headers=PARTIAL)
    assert fragment.text.lstrip().startswith('<form id="order-form"')
    assert "<html" not in fragment.text


def test_a_typed_part_shows_its_name_and_revisions_with_the_current_one_meant(shop, as_owner):
    RevisionFactory(part=shop.part, label="A", current=False)
    fragment = as_owner.get("/orders/new/part", query_string={"row": "lines-3", "lines-3-part": "hb-100"}).text
    assert fragment.lstrip().startswith('<div id="lines-3-part-known">')
    assert 'name="lines-3-revision"' in fragment
    assert '<option value="">B, the current one</option>' in fragment
    assert '<option value="A">A</option>' in fragment
    assert "Hinge block" in fragment
    assert "No routing yet" not in fragment


def test_a_typed_part_without_a_routing_is_warned_of(shop, as_owner):
    RevisionFactory(part__number="HB-300", label="A")
    fragment = as_owner.get("/orders/new/part", query_string={"row": "lines-0", "lines-0-part": "HB-300"}).text
    assert "No routing yet: it can be ordered, but not released until HB-300 A has one." in fragment


@pytest.mark.parametrize("sent", [{}, {"row": "lines-0"}, {"row": "x", "lines-0-part": "HB-100"}, {"row": "<b>"}])
def test_nonsense_about_a_part_is_answered_calmly(shop, as_owner, sent):
    answer = as_owner.get("/orders/new/part", query_string=sent)
    assert answer.status_code == 200
    assert "<b>" not in answer.text


def test_parts_are_suggested_by_number_and_name_those_that_begin_so_first(shop, as_owner):
    for number, name in [("XHB-1", "Cover"), ("HB-050", "Axle"), ("QQ-1", "Hinge pin"), ("ZZ-9", "Nut")]:
        PartFactory(number=number, name=name)
    PartFactory(number="HB-999", active=False)
    by_number = as_owner.get("/orders/new/parts", query_string={"lines-0-part": "hb-"}).text
    assert [number for number in ("HB-050", "HB-100", "XHB-1", "HB-999") if number in by_number] == [
        "HB-050",
        "HB-100",
        "XHB-1",
    ]
    assert by_number.index("HB-100") < by_number.index("XHB-1")
    assert "QQ-1" in as_owner.get("/orders/new/parts?part=hinge").text
    assert "<option" not in as_owner.get("/orders/new/parts?part=%25").text


def test_ordering_a_part_again_fills_in_all_but_number_and_date(shop, as_owner):
    older = DeliveryFactory(line__revision=shop, line__price="9.00", line__order__received_on=date(2025, 1, 2))
    last = DeliveryFactory(line__revision=shop, line__price="11.25", quantity=80)
    page = as_owner.get(f"/orders/new?part={shop.part_id}").text
    assert f'name="customer" required type="text" value="{last.line.order.customer.name}"' in page
    assert older.line.order.customer.name != last.line.order.customer.name
    assert 'name="lines-0-part" required spellcheck="false" type="text" value="HB-100"' in page
    assert 'value="11.25"' in page
    assert 'name="lines-0-deliveries-0-quantity" required type="number" value="80"' in page
    assert 'name="their_number" required type="text" value=""' in page
    assert 'name="lines-0-deliveries-0-due" required type="date" value=""' in page
    assert 'name="received_on" required type="date" value="2026-01-07"' in page


def test_a_repeat_order_needs_number_quantity_date_and_one_button(shop, as_owner, session):
    """With opening the form and printing that makes six interactions; what the page fills in is sent back as it is."""
    last = DeliveryFactory(line__revision=shop, quantity=80)
    page = as_owner.get(f"/orders/new?part={shop.part_id}").text
    filled = {
        "customer": last.line.order.customer.name,
        "received_on": "2026-01-07",
        "lines-0-part": "HB-100",
        "lines-0-revision": "",
        "lines-0-price": "0",
    }
    for name, value in filled.items():
        field = page.split(f'name="{name}"')[1]
        assert (f'value="{value}"' in field.split(">")[0]) or name == "lines-0-revision"
    typed = {"their_number": "BW-77", "lines-0-deliveries-0-quantity": "90", "lines-0-deliveries-0-due": "2026-03-02"}
    answer = as_owner.post("/orders", data=filled | typed | {"then": "release"})
    session.rollback()
    newest = session.scalars(sa.select(CustomerOrder).order_by(CustomerOrder.id.desc())).first()
    assert answer.location == f"/lots/new?delivery={newest.lines[0].deliveries[0].id}"


def test_ordering_an_order_again_fills_in_all_of_its_lines(shop, as_owner):
    first = DeliveryFactory(line__revision=shop, quantity=80)
    DeliveryFactory(line=first.line, quantity=81)
    other = RevisionFactory(part__number="HB-200")
    DeliveryFactory(line__order=first.line.order, line__number=2, line__revision=other, quantity=7)
    page = as_owner.get(f"/orders/new?like={first.line.order_id}").text
    for name, value in {
        "lines-0-deliveries-0-quantity": 80,
        "lines-0-deliveries-1-quantity": 81,
        "lines-1-deliveries-0-quantity": 7,
    }.items():
        assert f'name="{name}" required type="number" value="{value}"' in page
    assert 'value="HB-200"' in page


def test_ordering_again_says_when_another_revision_is_current(shop, as_owner, session):
    DeliveryFactory(line__revision=shop)
    shop.current = False
    RevisionFactory(part=shop.part, label="C")
    session.commit()
    page = as_owner.get(f"/orders/new?part={shop.part_id}").text
    assert "HB-100 was last ordered as revision B; C is current now. Look whether the price still holds." in page


def test_a_part_that_was_never_sold_is_filled_in_alone(shop, as_owner):
    page = as_owner.get(f"/orders/new?part={shop.part_id}").text
    assert 'name="lines-0-part" required spellcheck="false" type="text" value="HB-100"' in page
    assert 'name="customer" required type="text" value=""' in page


@pytest.mark.parametrize(
    ("address", "status"), [("part=999", 200), ("part=x", 200), ("like=999", 404), ("like=x", 200)]
)
def test_ordering_again_what_is_not_there_is_answered_calmly(shop, as_owner, address, status):
    assert as_owner.get(f"/orders/new?{address}").status_code == status


def test_a_complete_row_leads_on_to_the_promise_of_the_schedule(shop, as_owner):
    sent = {
        "row": "lines-2-deliveries-1",
        "lines-2-part": "HB-100",
        "lines-2-revision": "",
        "lines-2-deliveries-1-quantity": "50",
        "lines-2-deliveries-1-due": "2026-02-06",
    }
    answer = as_owner.get("/orders/new/promise", query_string=sent)
    assert answer.status_code == 303
    wanted = f"revision_id={shop.id}&quantity=50&due=2026-02-06&target=lines-2-deliveries-1-promise"
    assert answer.location == f"/schedule/promise?{wanted}"


@pytest.mark.parametrize(
    ("customer", "leaves"),
    [
        ("Dockside Pumps", "2026-02-03"),
        ("dockside pumps", "2026-02-03"),
        ("Brightwater Pumps", "2026-02-06"),
        ("", "2026-02-06"),
    ],
)
def test_the_promise_is_asked_for_the_day_it_must_leave(shop, as_owner, customer, leaves):
    CustomerFactory(name="Dockside Pumps", due_means=DueMeans.DOCK, transit_days=3)
    sent = {
        "row": "lines-0-deliveries-0",
        "customer": customer,
        "lines-0-part": "HB-100",
        "lines-0-deliveries-0-quantity": "50",
        "lines-0-deliveries-0-due": "2026-02-06",
    }
    answer = as_owner.get("/orders/new/promise", query_string=sent)
    assert f"&due={leaves}&" in answer.location


def test_a_further_line_asks_for_its_promise_as_the_order_s_customer(shop, as_owner):
    delivery = DeliveryFactory(line__order__customer=CustomerFactory(name="Dockside Pumps"))
    page = as_owner.get(f"/orders/{delivery.line.order_id}/lines/new").text
    assert "/orders/new/promise?row=lines-0-deliveries-0&amp;customer=Dockside+Pumps" in page
    assert "#customer" not in page
    assert 'hx-include="#lines-0, #customer"' in as_owner.get("/orders/new").text


@pytest.mark.parametrize(
    "wrong",
    [
        {"lines-0-part": "ZZ"},
        {"lines-0-part": ""},
        {"lines-0-revision": "Z"},
        {"lines-0-deliveries-0-due": ""},
        {"row": "other"},
    ],
)
def test_until_a_row_is_complete_its_promise_says_what_is_missing(shop, as_owner, wrong):
    sent = {
        "row": "lines-0-deliveries-0",
        "lines-0-part": "HB-100",
        "lines-0-deliveries-0-quantity": "50",
        "lines-0-deliveries-0-due": "2026-02-06",
    }
    answer = as_owner.get("/orders/new/promise", query_string=sent | wrong)
    assert answer.status_code == 200
    target = "promise" if "row" in wrong else "lines-0-deliveries-0-promise"
    assert f'id="{target}"' in answer.text
    assert "Part, quantity and due date show when it could be finished." in answer.text


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"quantity": "0"}, "Quantity: It must be 1 or more."),
        ({"quantity": "fifty"}, "“fifty” is not one."),
        ({"quantity": "99999999"}, "Quantity: It must be 1,000,000 or less."),
        ({"due": "soon"}, "Due date: Enter a date as year-month-day, such as 2026-02-06."),
        ({"due": "0026-02-06"}, "Enter a date between 1970 and 2199."),
    ],
)
def test_a_row_with_a_mistake_says_it_where_its_promise_would_be(shop, as_owner, typed, told):
    sent = {"quantity": "50", "due": "2026-02-06"} | typed
    fields = {f"lines-0-deliveries-0-{name}": value for name, value in sent.items()}
    asked = {"row": "lines-0-deliveries-0", "lines-0-part": "HB-100", **fields}
    answer = as_owner.get("/orders/new/promise", query_string=asked)
    assert answer.status_code == 200
    assert told in html.unescape(answer.text)
