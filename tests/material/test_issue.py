"""Issuing pieces of receipts to lots, and taking them back."""

from contextlib import suppress
from datetime import date

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.material import queries, services
from app.material.errors import IssueQuantityError, NotAtHandError, NotIssuedError, ReceiptNotFoundError
from app.material.models import Issue, Receipt
from app.material.services import NewReceipt
from app.shared.database import transaction
from app.shared.errors import PlainError, RefusedError
from tests.factories.lots import make_lot
from tests.factories.material import ReceiptFactory
from tests.factories.parts import RevisionFactory
from tests.factories.stations import ShopFactory
from tests.statements import counted


@pytest.fixture
def lots(session):
    """The ids of two lots, in a shop."""
    ShopFactory()
    return [make_lot(session).id for _ in range(2)]


def test_pieces_are_issued_to_a_lot_and_taken_back(session, lots, now):
    receipt = ReceiptFactory(pieces=60)
    issue = services.issue(session, receipt.id, lots[0], 40, None, now)
    assert (issue.pieces, issue.issued_at, receipt.at_hand) == (40, now, 20)
    services.take_back(session, receipt.id, lots[0], 15, None, now)
    assert receipt.at_hand == 35
    assert [(each.receipt, each.pieces) for each in queries.issued_to_lot(session, lots[0])] == [(receipt, 25)]
    assert services.recount_issued(session) == []


def test_one_purchase_serves_several_lots_and_a_lot_holds_two_heats(session, engine, lots, now):
    first, second = ReceiptFactory(pieces=60, heat="H1"), ReceiptFactory(pieces=60, heat="H2")
    services.issue(session, second.id, lots[0], 10, None, now)
    services.issue(session, first.id, lots[0], 50, None, now)
    services.issue(session, first.id, lots[1], 10, None, now)
    services.issue(session, second.id, lots[1], 5, None, now)
    services.take_back(session, second.id, lots[1], 5, None, now)
    session.expire_all()
    with counted(engine) as sent:
        held = queries.issued_to_lots(session, lots)
        told = {lot: [(each.receipt.heat, each.pieces) for each in held[lot]] for lot in lots}
    assert told == {lots[0]: [("H2", 10), ("H1", 50)], lots[1]: [("H1", 10)]}
    assert len(sent) == 2


def test_no_more_is_issued_than_is_at_hand(session, lots, now):
    receipt = ReceiptFactory(pieces=60, issued=50)
    with pytest.raises(NotAtHandError, match=f"Receipt {receipt.code} has 10 pieces at hand. Issue that many or fewer"):
        services.issue(session, receipt.id, lots[0], 11, None, now)
    services.issue(session, receipt.id, lots[0], 10, None, now)
    with pytest.raises(NotAtHandError, match="has nothing at hand any more"):
        services.issue(session, receipt.id, lots[0], 1, None, now)


def test_no_more_is_taken_back_than_the_lot_holds(session, lots, now):
    receipt = ReceiptFactory(pieces=60)
    services.issue(session, receipt.id, lots[0], 10, None, now)
    services.issue(session, receipt.id, lots[1], 30, None, now)
    with pytest.raises(NotIssuedError, match=f"10 pieces of receipt {receipt.code} were issued to this lot"):
        services.take_back(session, receipt.id, lots[0], 11, None, now)
    assert receipt.at_hand == 20


@pytest.mark.parametrize("pieces", [0, -1])
def test_less_than_one_piece_is_no_issue(session, lots, now, pieces):
    receipt = ReceiptFactory()
    for verb in (services.issue, services.take_back):
        with pytest.raises(IssueQuantityError, match="Enter how many pieces: 1 or more"):
            verb(session, receipt.id, lots[0], pieces, None, now)
    with pytest.raises(ReceiptNotFoundError):
        services.issue(session, 999, lots[0], 1, None, now)


def test_an_issue_goes_with_the_use_case_around_it(session, lots, now):
    receipt = ReceiptFactory(pieces=60)
    with pytest.raises(ZeroDivisionError), transaction(session):
        services.issue(session, receipt.id, lots[0], 10, None, now)
        raise ZeroDivisionError
    session.refresh(receipt)
    assert receipt.issued == 0
    assert session.scalars(sa.select(Issue)).all() == []


def test_a_wrong_count_is_found(session, lots, now):
    receipt, other = ReceiptFactory(pieces=60), ReceiptFactory(pieces=60, issued=3)
    services.issue(session, receipt.id, lots[0], 10, None, now)
    session.execute(sa.update(Receipt).where(Receipt.id == receipt.id).values(issued=11))
    session.commit()
    assert [(each.code, each.kept, each.counted) for each in services.recount_issued(session)] == [
        (receipt.code, 11, 10),
        (other.code, 3, 0),
    ]


def test_the_page_of_a_receipt_shows_what_went_where(as_operator, session, lots, now):
    receipt = ReceiptFactory(pieces=60)
    services.issue(session, receipt.id, lots[0], 10, None, now)
    services.take_back(session, receipt.id, lots[0], 4, None, now)
    page = as_operator.get(f"/receipts/{receipt.id}").text
    assert "issued to" in page
    assert "taken back from" in page
    assert f'href="/lots/{lots[0]}"' in page


MOVES = st.lists(
    st.tuples(
        st.sampled_from(["issue", "take back", "receive", "correct"]),
        st.integers(0, 1),
        st.integers(0, 1),
        st.integers(0, 40),
    ),
    max_size=12,
)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(moves=MOVES)
def test_whatever_happens_no_receipt_gives_out_more_than_came_in(session, lots, now, moves):
    """Issues never pass what was received, what lots hold is what was issued, and the kept count is always right."""
    revision = RevisionFactory()
    new = NewReceipt(30, date(2026, 1, 7), revision_id=revision.id)
    made = [services.receive(session, new, None, now).id for _ in range(2)]
    for verb, receipt, lot, pieces in moves:
        with suppress(PlainError):
            if verb == "issue":
                services.issue(session, made[receipt], lots[lot], pieces, None, now)
            elif verb == "take back":
                services.take_back(session, made[receipt], lots[lot], pieces, None, now)
            elif verb == "receive":
                new = NewReceipt(pieces, date(2026, 1, 7), revision_id=revision.id)
                made.append(services.receive(session, new, None, now).id)
            else:
                change = services.ReceiptChange(pieces, 0, "", "Counted again")
                services.correct_receipt(session, made[receipt], change, None, now)
        _everything_adds_up(session, made, lots)


def _everything_adds_up(session, made, lots):
    session.rollback()
    rows = session.scalars(sa.select(Receipt).where(Receipt.id.in_(made))).all()
    held = queries.issued_to_lots(session, lots)
    for row in rows:
        in_lots = sum(each.pieces for lot in lots for each in held[lot] if each.receipt.id == row.id)
        assert 0 <= row.issued == in_lots <= row.pieces
    assert services.recount_issued(session) == []


def test_a_refused_receipt_says_so(session, now):
    ShopFactory()
    with pytest.raises(RefusedError, match="Say what it is: blanks of one revision of a part, or one bought component"):
        services.receive(session, NewReceipt(5, date(2026, 1, 7)), None, now)
