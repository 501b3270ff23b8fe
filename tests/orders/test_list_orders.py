"""The list of orders: open first, searched, paged, each delivery's state in words."""

from datetime import date

import pytest

from app.orders import queries
from app.orders.models import DueMeans
from app.orders.queries import Shown
from tests.factories.orders import CustomerFactory, CustomerOrderFactory, DeliveryFactory, OrderLineFactory
from tests.factories.parts import RevisionFactory
from tests.factories.stations import ShopFactory
from tests.statements import counted


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


def test_open_deliveries_come_soonest_first_then_closed_ones_last_due_first(session, now):
    due = [date(2026, 3, 1), date(2026, 1, 10), date(2026, 2, 1)]
    for each in due:
        DeliveryFactory(due=each)
        DeliveryFactory(due=each, closed_at=now, shipped=50)
    rows = queries.deliveries_page(session, "", Shown.ALL, 1).rows
    assert [(row.due, row.closed_at is None) for row in rows] == [
        (due[1], True),
        (due[2], True),
        (due[0], True),
        (due[0], False),
        (due[2], False),
        (due[1], False),
    ]
    assert queries.deliveries_page(session, "", Shown.OPEN, 1).total == 3


@pytest.mark.parametrize(
    ("made", "words"),
    [
        ({"due": date(2026, 1, 8)}, "Open"),
        ({"due": date(2026, 1, 7)}, "Leaves today"),
        ({"due": date(2026, 1, 6)}, "Late"),
        ({"shipped": 20}, "Partly shipped"),
        ({"shipped": 50, "closed": True}, "Filled"),
        ({"shipped": 51, "closed": True}, "Filled, 1 over"),
        ({"shipped": 20, "closed": True}, "Closed 30 short"),
    ],
)
def test_the_state_of_a_delivery_is_told_in_words(as_operator, now, made, words):
    DeliveryFactory(closed_at=now if made.pop("closed", False) else None, **made)
    page = as_operator.get("/orders?show=all").text
    assert f"</svg>{words}</span>" in page


def test_a_dock_date_is_late_by_the_day_it_must_leave(as_operator):
    customer = CustomerFactory(due_means=DueMeans.DOCK, transit_days=3)
    DeliveryFactory(line__order__customer=customer, due=date(2026, 1, 9))
    page = as_operator.get("/orders").text
    assert "Fri 9 Jan<" in page
    assert "Tue 6 Jan<" in page
    assert "</svg>Late</span>" in page


def test_orders_are_found_by_number_customer_and_part_whatever_the_capitals(session):
    wanted = DeliveryFactory(
        line__order__their_number="PO-77_1",
        line__order__customer__name="Nord Valves",
        line__revision__part__number="HB-900",
        line__revision__part__name="Axle",
    )
    DeliveryFactory()
    for text in ("po-77", "77_1", "nord", "hb-900", "AXLE"):
        assert queries.deliveries_page(session, text, Shown.OPEN, 1).rows == [wanted]
    for text in ("%", "PO_77", "zzz"):
        assert queries.deliveries_page(session, text, Shown.OPEN, 1).rows == []


def test_the_list_is_paged_by_fifty(as_operator, session):
    line = OrderLineFactory()
    for _ in range(51):
        DeliveryFactory(line=line)
    first, second = as_operator.get("/orders").text, as_operator.get("/orders?page=2").text
    assert first.count('<th scope="row"') == 50
    assert second.count('<th scope="row"') == 1
    assert "Page 2 of 2" in second
    assert as_operator.get("/orders?page=99").text.count('<th scope="row"') == 1
    assert as_operator.get("/orders?page=x").status_code == 200


def test_an_empty_list_says_what_to_do_first(as_owner, as_operator):
    assert "Take the first order" in as_owner.get("/orders").text
    assert "An owner takes the first one." in as_operator.get("/orders").text


def test_a_search_without_a_hit_and_a_shop_with_nothing_open_say_so(as_owner, now):
    DeliveryFactory(closed_at=now, shipped=50)
    assert "Nothing is open: all that was ordered has been shipped." in as_owner.get("/orders").text
    assert "Nothing fits “zzz” among the deliveries shown." in as_owner.get("/orders?q=zzz").text


@pytest.mark.parametrize(
    "path", ["/orders", "/orders?show=all&q=b", "/customers", "/orders/{order}", "/customers/{customer}"]
)
def test_the_statements_of_a_page_do_not_grow_with_its_rows(as_owner, engine, session, now, path):
    order = CustomerOrderFactory()
    path = path.format(order=order.id, customer=order.customer_id)

    def statements():
        with counted(engine) as sent:
            assert as_owner.get(path).status_code == 200
        return len(sent)

    for number in range(1, 3):
        DeliveryFactory(line__order=order, line__number=number, closed_at=now if number % 2 else None)
    few = statements()
    for number in range(3, 13):
        line = OrderLineFactory(order=order, number=number, revision=RevisionFactory())
        DeliveryFactory(line=line)
        DeliveryFactory(line=line, closed_at=now)
        DeliveryFactory()
    assert statements() == few
    assert few <= 12


def test_open_deliveries_come_with_all_that_is_read_of_them_in_one_statement(session, engine, now):
    for _ in range(3):
        DeliveryFactory()
    DeliveryFactory(closed_at=now)
    session.expunge_all()
    with counted(engine) as sent:
        rows = queries.open_deliveries(session)
        told = [(row.leave_day, row.line.order.their_number, row.line.revision.part.number) for row in rows]
    assert len(told) == 3
    assert len(sent) == 1


def test_an_order_without_a_price_is_not_shown_to_cost_nothing(as_owner, session):
    line = OrderLineFactory(price="4.50")
    assert "4.50 a piece" in as_owner.get(f"/orders/{line.order_id}").text
    line.price = 0
    session.commit()
    page = as_owner.get(f"/orders/{line.order_id}").text
    assert ("no price" in page, "a piece" in page) == (True, False)
