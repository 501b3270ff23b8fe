"""Codes that are scanned while the 'done' form is open: what is typed stays, and nothing is sent by itself."""

import sqlalchemy as sa

from app.core.scan_code import CodeKind, format_code, next_number
from app.lots.models import Posting
from app.lots.queries.names import lot_name, operation_code
from tests.factories.lots import make_lot, station_of, whereabouts
from tests.factories.material import ReceiptFactory
from tests.floor.conftest import PIN, refusal, words


def scan_into(tablet, operation, code, **counts):
    tablet.clock.forward(seconds=10)
    return tablet.done(operation, code=code, **counts)


def test_a_scan_into_the_form_never_sends_it_and_keeps_what_was_typed(tablet, lot, begun):
    for code in (operation_code(begun), lot_name(lot)):
        response = scan_into(tablet, begun, code, good=44, scrap=2, scrap_words="burr")
        assert response.status_code == 303
        page = tablet.client.get(response.location).text
        assert 'value="44"' in page
        assert 'value="burr"' in page
    assert whereabouts(lot) == {"10 in_work": 50}


def test_another_lots_code_in_the_form_is_refused_and_keeps_what_was_typed(session, tablet, lot, begun):
    other = make_lot(session)
    for code in (lot_name(other), operation_code(other.operations[0])):
        response = scan_into(tablet, begun, code, good=44)
        expected = f"This is lot {lot_name(other)}, and the form is for lot {lot_name(lot)}. Scan its own code."
        assert refusal(response) == expected
        assert 'value="44"' in response.text
    assert whereabouts(other) == {"10 waiting": 50}


def test_another_operation_of_the_same_lot_in_the_form_is_refused(tablet, lot, begun):
    sentence = refusal(scan_into(tablet, begun, operation_code(lot.operations[1])))
    assert sentence == "This is op 20 of the same lot, and the form is for op 10. Scan its own code."


def test_a_mistyped_code_in_the_form_is_refused(tablet, begun):
    assert "is mistyped" in refusal(scan_into(tablet, begun, "P00000012"))


def test_a_new_badge_in_the_form_asks_for_the_pin_and_comes_back_to_it(session, tablet, lot, begun, person):
    kim = person(name="Kim")
    response = scan_into(tablet, begun, kim.badge_code, good=46)
    page = tablet.client.get(response.location)
    assert "Kim, your PIN" in words(page.text)
    then = page.text.split('name="then" type="hidden" value="')[1].split('"')[0].replace("&amp;", "&")
    back = tablet.post("/sign-ons", badge=kim.badge_code, pin=PIN, then=then)
    assert 'value="46"' in tablet.client.get(back.location).text
    tablet.done(begun, good=46)
    assert session.scalars(sa.select(Posting).order_by(Posting.id.desc())).first().person_id == kim.id


def test_a_stations_code_in_the_form_leads_there(tablet, lot, begun):
    other = station_of(lot.operations[1])
    response = scan_into(tablet, begun, format_code(CodeKind.STATION, other.number))
    assert response.location == f"/floor/stations/{other.id}"


def test_a_receipt_that_does_not_go_into_it_is_no_answer_to_the_form(session, tablet, begun):
    receipt = ReceiptFactory()
    response = scan_into(tablet, begun, format_code(CodeKind.RECEIPT, receipt.number))
    assert response.location == f"/receipts/{receipt.id}"


def test_an_unknown_badge_in_the_form_is_refused(tablet, begun):
    badge = format_code(CodeKind.BADGE, next_number(CodeKind.BADGE, 7))
    assert refusal(scan_into(tablet, begun, badge)).startswith("This badge belongs to nobody here now.")


def test_long_words_in_the_form_never_fill_the_cookie(tablet, begun, sam):
    response = scan_into(tablet, begun, sam.badge_code, scrap=1, scrap_words="w" * 900, rework_words="v" * 900)
    assert response.status_code == 303
    assert len(response.headers.get("Set-Cookie", "")) < 2_000
