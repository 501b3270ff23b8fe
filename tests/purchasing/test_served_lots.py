"""The lots that a purchase or receipt serves, shown on its own page by a fragment of this area."""

import pytest

from app.lots.queries import lot_name
from app.lots.services import issue_blanks
from tests.factories.lots import act
from tests.factories.purchasing import make_blank_order, make_receipt, make_waiting_lot
from tests.statements import counted


@pytest.fixture
def lots(session, blank):
    return [make_waiting_lot(session, blank) for _ in range(2)]


def test_a_purchase_names_the_lots_it_was_made_for(as_operator, session, blank, lots):
    order = make_blank_order(session, blank, (lots[0], 30), (lots[1], 12))
    address = f"/purchasing/orders/{order.id}/lots"
    assert f'hx-get="{address}"' in as_operator.get(f"/material-orders/{order.id}").text
    page = as_operator.get(address).text
    for lot, pieces in zip(lots, (30, 12), strict=True):
        assert f">{lot_name(lot)}</a> {pieces} of {blank.part.number} A" in page


def test_a_receipt_names_the_lots_that_hold_its_pieces(as_operator, session, blank, lots):
    receipt = make_receipt(session, None, 40, revision=blank)
    issue_blanks(session, act(), lots[1].id, receipt.id, 25)
    address = f"/purchasing/receipts/{receipt.id}/lots"
    assert f'hx-get="{address}"' in as_operator.get(f"/receipts/{receipt.id}").text
    page = as_operator.get(address).text
    assert f">{lot_name(lots[1])}</a> 25 of {blank.part.number} A" in page
    assert lot_name(lots[0]) not in page


def test_what_serves_no_lot_shows_nothing_and_what_is_not_there_is_said_to_be_missing(as_operator, session, blank):
    order = make_blank_order(session, blank, units=1)
    assert "For lots" not in as_operator.get(f"/purchasing/orders/{order.id}/lots").text
    assert as_operator.get("/purchasing/receipts/999/lots").status_code == 404


def test_the_statements_do_not_grow_with_lots(as_operator, engine, session, blank, lots):
    def statements(order):
        with counted(engine) as sent:
            assert as_operator.get(f"/purchasing/orders/{order.id}/lots").status_code == 200
        return len(sent)

    one = make_blank_order(session, blank, (lots[0], 3))
    many = make_blank_order(session, blank, *((lot, 3) for lot in lots))
    assert statements(one) == statements(many)


def test_a_part_page_leads_the_owner_to_ordering_its_blanks(as_owner, as_setup_lead, blank):
    link = f"/purchasing/orders/new?revision={blank.id}"
    assert link in as_owner.get(f"/parts/{blank.part_id}").text
    assert link not in as_setup_lead.get(f"/parts/{blank.part_id}").text
