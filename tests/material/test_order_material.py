"""Purchases of blanks and components: what they are filled in with, changed to, and refused for."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
import sqlalchemy as sa

from app.material import queries, services
from app.material.errors import (
    InactiveVendorError,
    VendorNotFoundError,
)
from app.material.models import MaterialOrder
from app.material.services import NewMaterialLine, NewMaterialOrder
from app.parts.models import BlankForm
from app.shared.database import transaction
from app.shared.errors import RefusedError
from tests.factories.material import MaterialOrderFactory, MaterialOrderLineFactory, ReceiptFactory, VendorFactory
from tests.factories.parts import PartFactory, RevisionFactory
from tests.factories.people import PersonFactory
from tests.factories.stations import ShopFactory
from tests.statements import counted

TODAY = date(2026, 1, 7)


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


def purchase(vendor, *lines, **more):
    return NewMaterialOrder(vendor.id, more.pop("ordered_on", TODAY), lines, **more)


def test_a_line_takes_unit_price_and_expected_day_from_its_revision(session, now):
    plate = RevisionFactory(
        blank_form=BlankForm.PLATE, pieces_per_unit=12, blank_price=Decimal("48.50"), blank_lead_days=10
    )
    buyer = PersonFactory()
    order = services.add_material_order(
        session, purchase(VendorFactory(), NewMaterialLine(5, plate.id), their_number="Q-9"), buyer, now
    )
    (line,) = order.lines
    assert (order.their_number, order.ordered_by_id, order.ordered_on) == ("Q-9", buyer.id, TODAY)
    assert (line.unit, line.units, line.pieces_per_unit, line.pieces) == (BlankForm.PLATE, 5, 12, 60)
    assert line.unit_price == Decimal("48.50")
    # 7 January and 10 days is Saturday the 17th: expected on Monday
    assert line.expected_on == date(2026, 1, 19)


def test_what_is_given_is_kept_as_given(session, now):
    revision = RevisionFactory(blank_lead_days=10)
    line = NewMaterialLine(
        3, revision.id, unit=BlankForm.BAR, pieces_per_unit=4, unit_price=Decimal("1.25"), expected_on=date(2026, 1, 10)
    )
    (made,) = services.add_material_order(session, purchase(VendorFactory(), line), None, now).lines
    assert (made.unit, made.pieces, made.unit_price) == (BlankForm.BAR, 12, Decimal("1.25"))
    assert made.expected_on == date(2026, 1, 10)


def test_a_component_is_bought_by_the_piece_and_expected_on_the_next_working_day(session, now):
    pin = PartFactory(number="PIN-6")
    order = services.add_material_order(
        session, purchase(VendorFactory(), NewMaterialLine(100, part_id=pin.id)), None, now
    )
    (line,) = order.lines
    assert (line.item, line.pieces, line.expected_on) == ("PIN-6", 100, date(2026, 1, 8))


@pytest.mark.parametrize(
    ("line", "more", "place", "told"),
    [
        ({"units": 0}, {}, "lines-0-units", "Enter a quantity from 1 to 100,000."),
        ({"units": 100_001}, {}, "lines-0-units", "Enter a quantity from 1 to 100,000."),
        ({"pieces_per_unit": 0}, {}, "lines-0-pieces_per_unit", "Enter a quantity from 1 to 200,000."),
        ({"units": 1000, "pieces_per_unit": 1001}, {}, "lines-0-pieces_per_unit", "Enter a quantity from 1 to 1,000."),
        ({"unit_price": Decimal(-1)}, {}, "lines-0-unit_price", "Enter a price from 0 to 10,000,000."),
        (
            {"expected_on": date(2026, 1, 6)},
            {},
            "lines-0-expected_on",
            "It cannot be expected before it was ordered, Wed 7 Jan 2026. Correct the date.",
        ),
        ({"revision_id": None}, {}, "lines-0-revision_id", "Say what it is: blanks of one revision of a part, or one"),
        (
            {},
            {"ordered_on": date(2026, 1, 8)},
            "ordered_on",
            "It cannot have been ordered after today, Wed 7 Jan 2026.",
        ),
        ({}, {"their_number": "x" * 41}, "their_number", "Use at most 40 characters."),
    ],
)
def test_what_is_wrong_with_a_purchase_is_said_with_its_place(session, now, line, more, place, told):
    revision = RevisionFactory()
    asked = NewMaterialLine(**({"units": 5, "revision_id": revision.id} | line))
    with pytest.raises(RefusedError) as refused:
        services.add_material_order(session, purchase(VendorFactory(), asked, **more), None, now)
    (problem,) = refused.value.problems
    assert problem.place == place
    assert told in str(problem.error)
    assert session.scalars(sa.select(MaterialOrder)).all() == []


def test_a_purchase_needs_a_line_and_a_vendor_that_is_active(session, now):
    with pytest.raises(RefusedError, match="A material order needs at least one line"):
        services.add_material_order(session, purchase(VendorFactory()), None, now)
    former = VendorFactory(name="Gone Castings", active=False)
    line = NewMaterialLine(5, RevisionFactory().id)
    with pytest.raises(InactiveVendorError, match="Gone Castings is marked as a former vendor"):
        services.add_material_order(session, purchase(former, line), None, now)
    with pytest.raises(VendorNotFoundError):
        services.add_material_order(session, NewMaterialOrder(999, TODAY, (line,)), None, now)


def test_a_purchase_is_kept_inside_another_use_case_and_goes_with_it(session, now):
    order = purchase(VendorFactory(), NewMaterialLine(5, RevisionFactory().id))
    with pytest.raises(ZeroDivisionError), transaction(session):
        services.add_material_order(session, order, None, now)
        raise ZeroDivisionError
    assert session.scalars(sa.select(MaterialOrder)).all() == []


def test_the_rest_of_a_line_can_be_given_up_and_expected_again(as_owner, session, now):
    line = MaterialOrderLineFactory(units=60)
    ReceiptFactory(line=line, revision=line.revision, pieces=20)
    page = f"/material-orders/{line.order_id}"
    assert as_owner.post(f"/material-orders/lines/{line.id}/close").location == page
    assert "Closed 40 short" in as_owner.get(page).text
    session.rollback()
    assert queries.open_lines(session) == []
    assert as_owner.post(f"/material-orders/lines/{line.id}/reopen").location == page
    session.rollback()
    assert [(each.id, each.still_expected) for each in queries.open_lines(session)] == [(line.id, 40)]


def test_a_line_that_is_all_in_is_not_expected_again(as_owner):
    line = MaterialOrderLineFactory(units=60, closed_at=datetime(2026, 1, 6, tzinfo=UTC))
    ReceiptFactory(line=line, revision=line.revision, pieces=60)
    answer = as_owner.post(f"/material-orders/lines/{line.id}/reopen")
    assert answer.status_code == 422
    assert "All of it has come in. Order more to expect more." in answer.text


def test_open_and_late_lines_come_soonest_first_with_what_is_still_expected(session, now):
    lines = [MaterialOrderLineFactory(expected_on=TODAY + timedelta(days=days)) for days in (3, -2, -9)]
    MaterialOrderLineFactory(expected_on=TODAY - timedelta(days=30), closed_at=now)
    assert queries.open_lines(session) == [lines[2], lines[1], lines[0]]
    assert queries.late_lines(session, TODAY) == [lines[2], lines[1]]
    assert queries.late_lines(session, TODAY - timedelta(days=2)) == [lines[2]]
    assert queries.open_lines_of_vendor(session, lines[1].order.vendor_id) == [lines[1]]


@pytest.mark.parametrize(
    ("made", "words"),
    [
        ({"expected_on": date(2026, 1, 8)}, "Expected"),
        ({"expected_on": TODAY}, "Expected today"),
        ({"expected_on": date(2026, 1, 6)}, "Late 1 day"),
        ({"expected_on": date(2025, 12, 31)}, "Late 7 days"),
        ({"received": 20}, "Partly in"),
        ({"received": 60, "closed": True}, "All in"),
        ({"received": 63, "closed": True}, "All in, 3 over"),
        ({"received": 20, "closed": True}, "Closed 40 short"),
    ],
)
def test_the_state_of_a_line_is_told_in_words(as_operator, now, made, words):
    received = made.pop("received", 0)
    line = MaterialOrderLineFactory(closed_at=now if made.pop("closed", False) else None, **made)
    if received:
        ReceiptFactory(line=line, revision=line.revision, pieces=received)
    assert f"</svg>{words}</span>" in as_operator.get("/material-orders?show=all").text
    assert f"</svg>{words}</span>" in as_operator.get(f"/material-orders/{line.order_id}").text


@pytest.mark.parametrize(
    ("unit", "per_unit", "words"),
    [
        (BlankForm.PIECE, 1, "5 pieces"),
        (BlankForm.PLATE, 12, "5 plates, 60 pieces"),
        (BlankForm.BAR, 8, "5 bars, 40 pieces"),
        (BlankForm.PIECE, 2, "5 blanks, 10 pieces"),
    ],
)
def test_quantities_are_told_in_the_vendors_unit_and_in_parts(as_operator, unit, per_unit, words):
    MaterialOrderLineFactory(units=5, unit=unit, pieces_per_unit=per_unit)
    assert words in as_operator.get("/material-orders").text


def test_lines_are_found_by_vendor_number_part_component_and_heat(session):
    wanted = MaterialOrderLineFactory(
        order__vendor__name="Nord Castings", order__their_number="Q-77", revision__part__number="HB-900"
    )
    ReceiptFactory(line=wanted, revision=wanted.revision, heat="X4411")
    component = MaterialOrderLineFactory(revision=None, part=PartFactory(number="PIN-6"))
    MaterialOrderLineFactory()
    for text in ("nord", "q-77", "hb-900", "x44"):
        assert queries.lines_page(session, text, queries.Shown.OPEN, 1).rows == [wanted]
    assert queries.lines_page(session, "pin-", queries.Shown.OPEN, 1).rows == [component]
    assert queries.lines_page(session, "%", queries.Shown.OPEN, 1).rows == []


@pytest.mark.parametrize("path", ["/material-orders?show=all", "/material-orders/{order}", "/vendors/{vendor}"])
def test_the_statements_of_a_page_do_not_grow_with_its_rows(as_owner, engine, session, path):
    order = MaterialOrderFactory()
    path = path.format(order=order.id, vendor=order.vendor_id)

    def add(lines):
        for _ in range(lines):
            line = MaterialOrderLineFactory(order=order)
            ReceiptFactory(line=line, revision=line.revision, pieces=5)
            ReceiptFactory(line=line, revision=line.revision, pieces=6)

    def statements():
        with counted(engine) as sent:
            assert as_owner.get(path).status_code == 200
        return len(sent)

    add(2)
    few = statements()
    add(8)
    assert statements() == few
    assert few <= 12


def test_prices_are_shown_to_owners_only(as_owner, as_setup_lead):
    line = MaterialOrderLineFactory(unit_price=Decimal("48.50"))
    assert "48.50" in as_owner.get(f"/material-orders/{line.order_id}").text
    assert "48.50" not in as_setup_lead.get(f"/material-orders/{line.order_id}").text


def test_who_may_change_purchases(as_setup_lead, as_operator):
    line = MaterialOrderLineFactory()
    assert as_operator.get(f"/material-orders/{line.order_id}").status_code == 200
    for verb in ("close", "reopen"):
        assert as_setup_lead.post(f"/material-orders/lines/{line.id}/{verb}").status_code == 403


def test_an_empty_list_says_what_to_do_first(as_owner):
    assert "Release a lot first: its blanks then wait to be ordered." in as_owner.get("/material-orders").text


def test_what_is_not_there_is_said_to_be_missing(as_owner):
    for path in ("/material-orders/999", "/material-orders/lines/999/receipts/new"):
        answer = as_owner.get(path)
        assert answer.status_code == 404
        assert "There is no such material order." in answer.text
