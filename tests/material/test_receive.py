"""Receiving: with and without a purchase, over and short, rejected pieces, labels and corrections."""

import html
import re
from datetime import date

import pytest
import sqlalchemy as sa

from app.core.scan_code import CodeKind, format_code, parse_code
from app.material import queries, services
from app.material.models import Origin, Receipt, ReceiptCorrection
from app.material.services import NewReceipt
from tests.factories.material import MaterialOrderLineFactory, ReceiptFactory
from tests.factories.parts import PartFactory, RevisionFactory
from tests.factories.stations import ShopFactory
from tests.statements import counted

CODE = format_code(CodeKind.RECEIPT, 99_997)
FILLED = {
    "pieces": "20",
    "heat": "H70001",
    "received_on": "2026-01-07",
    "rejected": "",
    "reject_reason": "",
    "note": "",
}
OTHER = FILLED | {"part": "HB-100", "revision": "", "what": "blanks", "origin": "customer-supplied"}


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


@pytest.fixture
def line(session):
    """A line of 60 pieces, expected on 14 January, ordered on the 5th."""
    return MaterialOrderLineFactory(units=60)


def receipts(session):
    session.rollback()
    return session.scalars(sa.select(Receipt).order_by(Receipt.id)).all()


def said(answer):
    return html.unescape(answer.text)


def test_a_receipt_is_kept_with_its_heat_and_leads_on_to_issuing_it(line, as_setup_lead, session, now):
    answer = as_setup_lead.post(f"/material-orders/lines/{line.id}/receipts", data=FILLED)
    (receipt,) = receipts(session)
    assert answer.status_code == 303
    assert answer.location == f"/purchasing/receipts/{receipt.id}/issues"
    assert (receipt.pieces, receipt.heat, receipt.received_on) == (20, "H70001", date(2026, 1, 7))
    assert (receipt.line_id, receipt.revision_id, receipt.origin) == (line.id, line.revision_id, Origin.BOUGHT)
    assert (receipt.expected_on, receipt.recorded_at) == (date(2026, 1, 14), now)
    assert receipt.recorded_by_id == as_setup_lead.person.id
    assert "40 of 60 are still to come." in as_setup_lead.get("/material").text


def test_the_form_offers_what_is_still_expected_and_today(line, as_owner):
    ReceiptFactory(line=line, revision=line.revision, pieces=20)
    page = as_owner.get(f"/material-orders/lines/{line.id}/receipts/new").text
    assert re.search(r'name="pieces"[^>]* value="40"', page)
    assert re.search(r'name="received_on"[^>]* value="2026-01-07"', page)


def test_the_line_closes_when_all_good_pieces_have_come_in_under_two_heats(line, session, now):
    for pieces, heat in ((40, "H1"), (20, "H2")):
        assert line.closed_at is None
        services.receive(session, NewReceipt(pieces, date(2026, 1, 7), line.id, heat=heat), None, now)
        session.refresh(line)
    assert line.closed_at == now
    assert [receipt.heat for receipt in line.receipts] == ["H1", "H2"]


def test_rejected_pieces_are_not_at_hand_and_stay_expected(line, as_owner, session):
    sent = FILLED | {"pieces": "50", "rejected": "10", "reject_reason": "Cracked edges"}
    as_owner.post(f"/material-orders/lines/{line.id}/receipts", data=sent)
    (receipt,) = receipts(session)
    assert (receipt.at_hand, receipt.rejected, receipt.reject_reason) == (50, 10, "Cracked edges")
    assert (receipt.line.still_expected, receipt.line.closed_at) == (10, None)
    assert "10 pieces: Cracked edges" in as_owner.get(f"/receipts/{receipt.id}").text


def test_more_than_ordered_is_taken_in_and_said_plainly(line, as_owner, session, now):
    as_owner.post(f"/material-orders/lines/{line.id}/receipts", data=FILLED | {"pieces": "62"})
    (receipt,) = receipts(session)
    assert receipt.line.closed_at == now
    told = "62 came in for 60 ordered: 2 more."
    assert told in as_owner.get("/material").text
    assert told in as_owner.get(f"/receipts/{receipt.id}").text


def test_more_may_come_in_after_a_line_was_closed(line, session, now):
    services.close_line(session, line.id, now)
    receipt = services.receive(session, NewReceipt(5, date(2026, 1, 7), line.id), None, now)
    assert receipt.at_hand == 5


@pytest.mark.parametrize(
    ("sent", "place", "told"),
    [
        ({"pieces": ""}, "pieces", "Enter how many good pieces came in; 0 for none."),
        ({"pieces": "-1"}, "pieces", "It must be 0 or more."),
        ({"pieces": "1000001"}, "pieces", "It must be 1,000,000 or less."),
        ({"pieces": "0"}, "pieces", "Enter how many pieces came in: good ones here, rejected ones below."),
        ({"rejected": "3"}, "reject_reason", "Say what is wrong with the rejected pieces."),
        ({"heat": "x" * 41}, "heat", "Use 40 characters or fewer."),
        ({"received_on": "2026-01-08"}, "received_on", "It cannot have come in after today, Wed 7 Jan 2026."),
        ({"received_on": "2026-01-04"}, "received_on", "It cannot have come in before it was ordered, Mon 5 Jan 2026."),
        ({"received_on": ""}, "received_on", "Enter the day it came in."),
        ({"note": "x" * 501}, "note", "Use 500 characters or fewer."),
    ],
)
def test_a_wrong_receipt_is_refused_beside_the_field_and_nothing_is_kept(line, as_owner, session, sent, place, told):
    answer = as_owner.post(f"/material-orders/lines/{line.id}/receipts", data=FILLED | sent)
    assert answer.status_code == 422
    beside = answer.text.split(f'id="{place}-errors">')[1].split("</div>")[0]
    assert told in html.unescape(beside)
    assert receipts(session) == []


def test_only_rejected_pieces_are_a_receipt_too(line, session, now):
    new = NewReceipt(0, date(2026, 1, 7), line.id, rejected=60, reject_reason="Wrong alloy")
    receipt = services.receive(session, new, None, now)
    assert (receipt.at_hand, line.still_expected) == (0, 60)


def test_receipts_get_the_next_number_that_has_a_code(session, now):
    ReceiptFactory(number=40)
    revision = RevisionFactory()
    numbers = [
        services.receive(session, NewReceipt(1, date(2026, 1, 7), revision_id=revision.id), None, now).number
        for _ in range(60)
    ]
    assert numbers == sorted(numbers)
    assert numbers[0] > 40
    assert len(set(numbers)) == 60
    assert all(parse_code(receipt.code).number == receipt.number for receipt in receipts(session))


@pytest.mark.parametrize("origin", list(Origin))
def test_blanks_come_in_without_a_purchase(as_owner, session, origin):
    revision = RevisionFactory(part__number="HB-100", label="B")
    answer = as_owner.post("/receipts", data=OTHER | {"origin": origin.value, "note": "Slip 12"})
    (receipt,) = receipts(session)
    assert answer.location == f"/receipts/{receipt.id}"
    assert (receipt.revision_id, receipt.part_id, receipt.line_id) == (revision.id, None, None)
    assert (receipt.origin, receipt.note, receipt.expected_on) == (origin, "Slip 12", None)
    assert "Slip 12" in as_owner.get(answer.location).text


def test_a_component_comes_in_without_a_purchase(as_owner, session):
    part = PartFactory(number="PIN-6")
    assert as_owner.post("/receipts", data=OTHER | {"part": "pin-6", "what": "component"}).status_code == 303
    (receipt,) = receipts(session)
    assert (receipt.part_id, receipt.revision_id, receipt.item) == (part.id, None, "PIN-6")


@pytest.mark.parametrize(
    ("sent", "place", "told"),
    [
        ({"part": ""}, "part", "Enter the number of the part."),
        ({"part": "ZZ"}, "part", "There is no part ZZ. Correct the number, or describe the part under Parts first."),
        ({"revision": "Q"}, "revision", "Choose a revision of HB-100: B."),
        ({"part": "HB-200"}, "revision", "HB-200 has no revision yet. Add one under Parts first."),
        ({"what": "gold"}, "what", "Choose one of the two."),
        ({"origin": "the moon"}, "origin", "Choose one of these."),
        ({"pieces": "0"}, "pieces", "Enter how many pieces came in"),
        ({"received_on": "2026-01-08"}, "received_on", "It cannot have come in after today"),
    ],
)
def test_a_wrong_receipt_without_a_purchase_is_refused_beside_the_field(as_owner, session, sent, place, told):
    RevisionFactory(part__number="HB-100", label="B")
    PartFactory(number="HB-200")
    answer = as_owner.post("/receipts", data=OTHER | sent)
    assert answer.status_code == 422
    beside = answer.text.split(f'id="{place}-errors">')[1].split("</div>")[0]
    assert told in html.unescape(beside)
    assert receipts(session) == []


def test_a_receipt_is_put_right_and_what_it_said_stays_on_record(line, as_setup_lead, session, now):
    receipt = services.receive(session, NewReceipt(60, date(2026, 1, 7), line.id, heat="H1"), None, now)
    assert line.closed_at == now
    sent = {"pieces": "58", "rejected": "2", "reject_reason": "Bent", "heat": "H11", "reason": "Counted again"}
    assert as_setup_lead.post(f"/receipts/{receipt.id}", data=sent).location == f"/receipts/{receipt.id}"
    (kept,) = receipts(session)
    assert (kept.pieces, kept.rejected, kept.reject_reason, kept.heat) == (58, 2, "Bent", "H11")
    assert kept.line.closed_at is None
    (correction,) = session.scalars(sa.select(ReceiptCorrection)).all()
    assert (correction.pieces_before, correction.rejected_before, correction.heat_before) == (60, 0, "H1")
    assert (correction.reason, correction.corrected_by_id) == ("Counted again", as_setup_lead.person.id)
    page = as_setup_lead.get(f"/receipts/{receipt.id}").text
    assert "Until then: 60 good, 0 rejected, heat H1. Counted again" in page


def test_a_correction_that_completes_a_line_closes_it_and_a_given_up_line_stays_closed(line, session, now):
    receipt = services.receive(session, NewReceipt(50, date(2026, 1, 7), line.id), None, now)
    change = services.ReceiptChange(60, 0, "", "Counted again")
    services.correct_receipt(session, receipt.id, change, None, now)
    session.refresh(line)
    assert line.closed_at == now
    given_up = MaterialOrderLineFactory(units=60, closed_at=now)
    receipt = services.receive(session, NewReceipt(50, date(2026, 1, 7), given_up.id), None, now)
    services.correct_receipt(session, receipt.id, services.ReceiptChange(49, 0, "", "Counted again"), None, now)
    session.refresh(given_up)
    assert given_up.closed_at == now


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"reason": ""}, "Say why it is corrected; it stays on record."),
        ({"pieces": "60"}, "This is what the receipt says already. Change a number or the heat."),
        ({"pieces": "19"}, "20 pieces have been issued from it already: enter that many or more"),
        ({"rejected": "1"}, "Say what is wrong with the rejected pieces."),
        ({"pieces": "x"}, "Type a whole number"),
        ({"heat": "x" * 41}, "Use 40 characters or fewer."),
    ],
)
def test_a_wrong_correction_is_refused_and_nothing_is_changed(as_owner, session, sent, told):
    receipt = ReceiptFactory(pieces=60, issued=20, heat="H1")
    filled = {"pieces": "59", "rejected": "", "reject_reason": "", "heat": "H1", "reason": "Counted again"}
    answer = as_owner.post(f"/receipts/{receipt.id}", data=filled | sent)
    assert answer.status_code == 422
    assert told in said(answer)
    assert [(each.pieces, each.heat) for each in receipts(session)] == [(60, "H1")]
    assert session.scalars(sa.select(ReceiptCorrection)).all() == []


def test_the_label_has_the_code_as_bars_a_square_and_text(as_operator):
    receipt = ReceiptFactory(heat="H7", pieces=60)
    page = as_operator.get(f"/receipts/{receipt.id}/label").text
    assert f'<span class="figure__number code">{receipt.code}</span>' in page
    assert f"<title>{receipt.code}</title>" in page
    assert f"<title>http://localhost/receipts/{receipt.code}</title>" in page
    assert "H7" in page


def test_the_labels_link_has_the_shops_own_address_where_there_is_one(as_operator, session, shop):
    shop.address = "http://shop-pc:8080/"
    session.commit()
    receipt = ReceiptFactory()
    page = as_operator.get(f"/receipts/{receipt.id}/label").text
    assert f"<title>http://shop-pc:8080/receipts/{receipt.code}</title>" in page


def test_the_link_of_a_label_leads_to_its_receipt(as_operator):
    receipt = ReceiptFactory()
    answer = as_operator.get(f"/receipts/{receipt.code.lower()}")
    assert (answer.status_code, answer.location) == (303, f"/receipts/{receipt.id}")


@pytest.mark.parametrize(
    ("code", "status", "told"),
    [
        (f"{CODE[:-1]}{'A' if CODE[-1] != 'A' else 'B'}", 409, "is mistyped: its last character does not match."),
        ("hello", 409, "hello is not one of our codes."),
        (CODE, 404, "There is no such receipt."),
        (format_code(CodeKind.LOT, 1), 404, "There is no such receipt."),
    ],
)
def test_another_code_is_refused_with_the_reason(as_operator, code, status, told):
    answer = as_operator.get(f"/receipts/{code}")
    assert answer.status_code == status
    assert told in answer.text


def test_what_is_at_hand_is_listed_by_part_then_oldest_first_and_found(as_operator, session):
    block, axle = RevisionFactory(part__number="HB-200"), RevisionFactory(part__number="HB-100")
    pin = PartFactory(number="PIN-6")
    made = [
        ReceiptFactory(revision=block, received_on=date(2026, 1, 2)),
        ReceiptFactory(revision=block, received_on=date(2026, 1, 1), heat="X99"),
        ReceiptFactory(revision=axle),
        ReceiptFactory(revision=None, part=pin),
    ]
    ReceiptFactory(revision=axle, pieces=10, issued=10)
    assert queries.at_hand_page(session, "", 1).rows == [made[2], made[1], made[0], made[3]]
    for text, found in (("x99", made[1]), ("pin", made[3]), (made[0].code.lower(), made[0])):
        assert queries.at_hand_page(session, text, 1).rows == [found]
    page = as_operator.get("/material?q=zzz").text
    assert "Nothing at hand fits “zzz”." in page


def test_blanks_are_counted_and_offered_first_in_first_out(session, engine):
    revision, other = RevisionFactory(), RevisionFactory()
    later = ReceiptFactory(revision=revision, pieces=30, issued=10, received_on=date(2026, 1, 6))
    first = ReceiptFactory(revision=revision, pieces=5, received_on=date(2026, 1, 2))
    ReceiptFactory(revision=revision, pieces=8, issued=8, received_on=date(2026, 1, 1))
    assert queries.receipts_at_hand(session, revision_id=revision.id) == [first, later]
    asked = [revision.id, other.id]
    with counted(engine) as sent:
        assert queries.blanks_at_hand(session, asked) == dict(zip(asked, [25, 0], strict=True))
    assert len(sent) == 1


def test_components_at_hand_are_their_own(session):
    part = PartFactory()
    component = ReceiptFactory(revision=None, part=part)
    ReceiptFactory()
    assert queries.receipts_at_hand(session, part_id=part.id) == [component]


@pytest.mark.parametrize("path", ["/material", "/receipts/{receipt}"])
def test_the_statements_of_a_page_do_not_grow_with_its_rows(as_owner, engine, session, line, path):
    receipt = ReceiptFactory(line=line, revision=line.revision, expected_on=line.expected_on)

    def statements():
        with counted(engine) as sent:
            assert as_owner.get(path.format(receipt=receipt.id)).status_code == 200
        return len(sent)

    few = statements()
    for _ in range(6):
        ReceiptFactory()
        other = MaterialOrderLineFactory()
        ReceiptFactory(line=other, revision=other.revision)
        ReceiptFactory(line=line, revision=line.revision)
    assert statements() == few
    assert few <= 12


def test_who_may_receive(as_operator, as_inspector, line, session):
    receipt = ReceiptFactory()
    for browser in (as_operator, as_inspector):
        assert browser.get("/material").status_code == 200
        assert browser.get(f"/receipts/{receipt.id}").status_code == 200
        assert browser.post(f"/material-orders/lines/{line.id}/receipts", data=FILLED).status_code == 403
        assert browser.post("/receipts", data=OTHER).status_code == 403
        assert browser.post(f"/receipts/{receipt.id}", data={}).status_code == 403
    assert receipts(session) == [receipt]


def test_an_empty_stock_says_what_to_do_first(as_owner):
    assert "Nothing has come in yet." in as_owner.get("/material").text
