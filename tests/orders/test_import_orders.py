"""Importing orders from a table: all or nothing, each bad cell named."""

import html
import io
from dataclasses import replace
from datetime import date
from decimal import Decimal

import openpyxl
import pytest
import sqlalchemy as sa

from app.orders import services
from app.orders.models import Customer, CustomerOrder
from app.shared.sheets import CellProblem, ImportRefusedError, csv_file, pack, read_sheet
from tests.factories.orders import CustomerFactory, CustomerOrderFactory
from tests.factories.parts import RevisionFactory, RoutingFactory
from tests.factories.stations import ShopFactory
from tests.statements import counted

HEADINGS = services.COLUMNS
GOOD = [
    ("Brightwater Pumps", "BW-1", "2026-01-05", "HB-100", "", "50", "2026-02-06", "12.50", "", "By truck"),
    ("", "", "", "hb-100", "", "60", "2026-03-06", "", "", ""),
    ("", "", "", "HB-200", "A", "1,000", "2026-02-13", "0.375", "yes", ""),
    ("brightwater pumps", "BW-2", "", "HB-100", "B", "7", "2026-02-06", "", "no", ""),
    ("Nord Valves", "N-1", "2026-01-07", "HB-100", "", "5", "2026-02-06", "", "", ""),
]


@pytest.fixture(autouse=True)
def shop(session):
    ShopFactory()
    CustomerFactory(name="Brightwater Pumps")
    RoutingFactory(revision=RevisionFactory(part__number="HB-100", label="B"))
    RevisionFactory(part__number="HB-200", label="A")


def table(rows=GOOD, headings=HEADINGS):
    return read_sheet(csv_file(headings, rows), "orders.csv")


def changed(at, **cells):
    """Return the good rows with some cells of one row changed."""
    rows = [list(row) for row in GOOD]
    for column, value in cells.items():
        rows[at][HEADINGS.index(column.replace("_", " "))] = value
    return rows


def kept(session):
    session.rollback()
    return session.scalars(sa.select(CustomerOrder).order_by(CustomerOrder.id)).all()


def problems(session, rows, now, headings=HEADINGS):
    return [str(problem) for problem in services.preview_orders(session, table(rows, headings), now).problems]


def test_a_file_too_large_to_be_taken_in_is_refused_beside_the_field(app, as_owner):
    app.config["MAX_CONTENT_LENGTH"] = 1000
    sent = {"file": (io.BytesIO(b"x" * 2000), "big.csv")}
    response = as_owner.post("/orders/import", data=sent, content_type="multipart/form-data")
    assert response.status_code == 422
    assert "The file is larger than 10 MB. Split it into smaller files." in response.text


def test_orders_lines_and_deliveries_are_kept_as_in_the_table(session, now):
    done = services.import_orders(session, table(), None, now)
    first, second, third = kept(session)
    assert str(done) == "3 orders with 5 deliveries"
    assert (first.customer.name, first.their_number, first.note) == ("Brightwater Pumps", "BW-1", "By truck")
    assert first.received_on == date(2026, 1, 5)
    assert [(line.number, line.revision.part.number, line.price, line.rush) for line in first.lines] == [
        (1, "HB-100", Decimal("12.5"), False),
        (2, "HB-200", Decimal("0.375"), True),
    ]
    assert [(each.quantity, each.due) for each in first.lines[0].deliveries] == [
        (50, date(2026, 2, 6)),
        (60, date(2026, 3, 6)),
    ]
    assert (second.received_on, second.customer_id) == (date(2026, 1, 7), first.customer_id)
    assert third.customer.name == "Nord Valves"


def test_the_example_that_is_offered_can_be_read_back(as_owner, session, now):
    RevisionFactory(part__number="EX-100")
    RevisionFactory(part__number="EX-200", label="B")
    sent = as_owner.get("/orders/import/template.csv")
    assert sent.headers["Content-Disposition"] == "attachment; filename=orders.csv"
    assert str(services.import_orders(session, read_sheet(sent.data, "orders.csv"), None, now)) == (
        "1 order with 3 deliveries"
    )


@pytest.mark.parametrize(
    ("at", "cells", "told"),
    [
        (0, {"Customer": ""}, "Row 2, Customer: Choose the customer, or type the name of a new one."),
        (0, {"Order_number": ""}, "Row 2, Order number: Enter the customer's order number."),
        (0, {"Received": "5/1/2026"}, "Row 2, Received: Enter a date as year-month-day, such as 2026-02-06."),
        (0, {"Received": "2026-01-08"}, "Row 2, Received: It cannot have been received after today, Wed 7 Jan 2026."),
        (1, {"Received": "2026-01-06"}, "Row 3, Received: Row 2 says something else of the same order."),
        (1, {"Price": "13"}, "Row 3, Price: Row 2 says something else of the same order. Make them alike."),
        (2, {"Part_number": "HB-20"}, "Row 4, Part number: There is no part HB-20. Did you mean HB-200?"),
        (2, {"Part_number": ""}, "Row 4, Part number: Enter the number of the part."),
        (2, {"Revision": "Q"}, "Row 4, Revision: HB-200 has no revision Q. It has: A."),
        (2, {"Quantity": ""}, "Row 4, Quantity: This cell is empty. Each row needs it."),
        (2, {"Quantity": "0"}, "Row 4, Quantity: It must be 1 or more."),
        (2, {"Quantity": "1000001"}, "Row 4, Quantity: It must be 1,000,000 or less."),
        (2, {"Due": ""}, "Row 4, Due: This cell is empty. Each row needs it."),
        (2, {"Due": "soon"}, "Row 4, Due: Enter a date as year-month-day, such as 2026-02-06."),
        (2, {"Due": "2026-01-04"}, "Row 4, Due: It cannot be due before the order was received, Mon 5 Jan 2026."),
        (
            2,
            {"Due": "2031-02-06"},
            "Row 4, Due: Thu 6 Feb 2031 is more than five years ahead. Correct it, or take this",
        ),
        (2, {"Price": "1.23456"}, "Row 4, Price: Type at most 4 digits after the point."),
        (2, {"Price": "12,50"}, "Row 4, Price: The comma in “12,50”"),
        (2, {"Rush": "maybe"}, "Row 4, Rush: “maybe” is not known."),
        (3, {"Order_number": "BW-9"}, "Row 5, Order number: Brightwater Pumps already has an order BW-9"),
    ],
)
def test_each_bad_cell_is_named_and_nothing_is_kept(session, now, at, cells, told):
    customer = session.scalars(sa.select(Customer)).one()
    before = CustomerOrderFactory(customer=customer, their_number="BW-9")
    rows = changed(at, **cells)
    found = problems(session, rows, now)
    assert any(each.startswith(told) for each in found), found
    assert len(found) == 1
    with pytest.raises(ImportRefusedError, match="nothing was stored"):
        services.import_orders(session, table(rows), None, now)
    assert kept(session) == [before]
    assert session.scalars(sa.select(Customer)).all() == [customer]


def test_all_bad_cells_are_named_at_once_in_the_order_of_the_rows(session, now):
    rows = changed(4, Quantity="x", Due="y", Rush="z")
    rows[0][3] = "ZZ"
    assert [each.split(":")[0] for each in problems(session, rows, now)] == [
        "Row 2, Part number",
        "Row 6, Rush",
        "Row 6, Quantity",
        "Row 6, Due",
    ]


def test_a_table_without_a_needed_column_or_without_rows_says_so(session, now):
    headings = [column for column in HEADINGS if column != "Due"]
    rows = [[cell for column, cell in zip(HEADINGS, row, strict=True) if column != "Due"] for row in GOOD]
    assert problems(session, rows, now, headings) == ["Row 1, Due: This column is missing. Add it to the headings."]
    assert problems(session, [], now) == ["Row 2: There is no row below the headings."]


def test_the_preview_shows_what_would_be_done_and_confirming_does_it(as_owner, session):
    sent = {"file": (io.BytesIO(csv_file(HEADINGS, GOOD)), "orders.csv")}
    preview = as_owner.post("/orders/import", data=sent, content_type="multipart/form-data")
    assert preview.status_code == 200
    assert "The table has 3 orders with 5 deliveries; no cell is wrong. Nothing is stored yet." in preview.text
    assert "Nord Valves is not among your customers and will be added." in preview.text
    assert "No routing yet, so no lot can be released: HB-200 A." in preview.text
    assert kept(session) == []
    packed = html.unescape(preview.text.split('name="table" value="')[1].split('"')[0])
    done = as_owner.post("/orders/import/confirm", data={"table": packed})
    assert (done.status_code, done.location) == (303, "/orders")
    assert len(kept(session)) == 3
    assert "Imported: 3 orders with 5 deliveries." in as_owner.get("/orders").text


def test_a_name_that_looks_like_a_customers_is_questioned_in_the_preview(as_owner):
    rows = changed(0, Customer="Brightwater Pump")
    sent = {"file": (io.BytesIO(csv_file(HEADINGS, rows)), "orders.csv")}
    preview = as_owner.post("/orders/import", data=sent, content_type="multipart/form-data")
    assert "Is it a slip for Brightwater Pumps?" in preview.text


def test_a_workbook_is_read_with_its_dates_and_numbers(as_owner, session):
    book = openpyxl.Workbook()
    sheet = book.create_sheet("Orders", 0)
    sheet.append(["Customer", "Order number", "Part number", "Quantity", "Due", "Price"])
    sheet.append(["Brightwater Pumps", "BW-5", "HB-100", 50, date(2026, 2, 6), 12.5])
    file = io.BytesIO()
    book.save(file)
    file.seek(0)
    sent = {"file": (file, "orders.xlsx")}
    preview = as_owner.post("/orders/import", data=sent, content_type="multipart/form-data").text
    packed = html.unescape(preview.split('name="table" value="')[1].split('"')[0])
    assert as_owner.post("/orders/import/confirm", data={"table": packed}).status_code == 303
    (order,) = kept(session)
    assert order.lines[0].deliveries[0].due == date(2026, 2, 6)
    assert order.lines[0].price == Decimal("12.5")


def test_what_became_wrong_between_preview_and_confirming_is_shown_again(as_owner, session):
    CustomerOrderFactory(customer=session.scalars(sa.select(Customer)).one(), their_number="BW-1")
    answer = as_owner.post("/orders/import/confirm", data={"table": pack(table())})
    assert answer.status_code == 422
    assert "already has an order BW-1" in answer.text
    assert len(kept(session)) == 1


@pytest.mark.parametrize(
    ("path", "sent", "told"),
    [
        ("/orders/import", {}, "Choose a .csv or .xlsx file."),
        ("/orders/import", {"file": (io.BytesIO(b""), "orders.csv")}, "The file is empty."),
        ("/orders/import/confirm", {}, "Choose the file again."),
        ("/orders/import/confirm", {"table": "nonsense"}, "Choose the file again."),
    ],
)
def test_a_file_that_is_no_table_is_refused_beside_the_field(as_owner, session, path, sent, told):
    answer = as_owner.post(path, data=sent, content_type="multipart/form-data")
    assert answer.status_code == 422
    assert told in answer.text
    assert kept(session) == []


def test_the_statements_of_a_preview_do_not_grow_with_the_table(session, engine, now):
    def statements(rows):
        session.rollback()
        with counted(engine) as sent:
            assert services.preview_orders(session, table(rows), now).problems == ()
        return len(sent)

    many = [(f"Customer {at % 7}", f"N-{at}", "", "HB-100", "", "5", "2026-02-06", "", "", "") for at in range(300)]
    assert statements(many) == statements(many[:1]) <= 8


def test_only_an_owner_imports(as_setup_lead, session):
    assert as_setup_lead.get("/orders/import").status_code == 403
    assert as_setup_lead.post("/orders/import", data={}).status_code == 403
    assert as_setup_lead.post("/orders/import/confirm", data={"table": pack(table())}).status_code == 403
    assert kept(session) == []


def test_a_broken_formula_keeps_everything_out(session, now):
    sheet = replace(table(), problems=(CellProblem(4, "Price", "This cell shows the error #N/A."),))
    session.rollback()
    with pytest.raises(ImportRefusedError, match=r"1 cell is wrong, and nothing was stored\. Row 4, Price"):
        services.import_orders(session, sheet, by=None, now=now)
    assert kept(session) == []


def test_a_day_of_receipt_that_cannot_be_read_is_held_against_no_due_date(session, now):
    found = problems(session, changed(0, Received="soon"), now)
    assert len(found) == 1
    assert found[0].startswith("Row 2, Received: ")
