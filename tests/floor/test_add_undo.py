"""Looking at a station's last entries, and undoing them."""

import pytest
import sqlalchemy as sa

from app.lots.models import Posting
from app.lots.queries.names import lot_name, operation_code
from tests.factories.lots import station_of, whereabouts
from tests.floor.conftest import refusal, words


def last(session) -> int:
    return session.scalars(sa.select(Posting.id).order_by(Posting.id.desc())).first()


def test_an_empty_list_says_so(tablet):
    assert "Nothing was recorded at this station yet." in words(tablet.get("/entries").text)


def test_the_entries_say_what_was_done_when_and_by_whom(tablet, lot, begun):
    tablet.done(begun, scrap=3, scrap_reason="Tool broke")
    page = words(tablet.get("/entries").text)
    assert f"Signed off {lot_name(lot)} op 10: 47 good, 3 scrap Wed 7 Jan 09:00 , Sam Okafor" in page
    assert f"Set-up begun {lot_name(lot)} op 10: 50 pieces" in page


def test_my_own_entry_is_undone_and_marked(session, tablet, lot, begun):
    tablet.done(begun)
    posting = last(session)
    assert tablet.post("/undos", posting=posting).location == f"{tablet.home}/entries"
    assert whereabouts(lot) == {"10 in_work": 50}
    page = words(tablet.get("/entries").text)
    assert f"Signed off {lot_name(lot)} op 10: 50 good undone" in page


def test_another_persons_entry_takes_a_role(session, tablet, lot, begun, person):
    tablet.done(begun)
    posting = last(session)
    tablet.sign_on(person("operator"))
    assert "a setup lead, inspector or owner can undo it" in words(tablet.get("/entries").text)
    sentence = refusal(tablet.post("/undos", posting=posting))
    assert sentence.startswith("Undoing another person's entry takes a setup lead, an inspector or an owner.")
    assert whereabouts(lot) == {"20 waiting": 50}


@pytest.mark.parametrize("role", ["setup lead", "inspector", "owner"])
def test_those_who_decide_may_undo_anybodys_entry(session, tablet, lot, begun, person, role):
    tablet.done(begun)
    posting = last(session)
    tablet.sign_on(person(role))
    assert tablet.post("/undos", posting=posting).status_code == 303
    assert whereabouts(lot) == {"10 in_work": 50}


def test_once_the_pieces_have_moved_on_it_says_where_they_are(session, tablet, tablet_at, lot, begun, sam):
    tablet.done(begun)
    posting = last(session)
    next_tablet = tablet_at(station_of(lot.operations[1]))
    next_tablet.sign_on(sam)
    next_tablet.scan(operation_code(lot.operations[1]))
    assert "50 at op 20" in refusal(tablet.post("/undos", posting=posting))


def test_it_is_undone_once(session, tablet, begun):
    tablet.post(tablet.at(begun, "/counts"), pieces=10)
    posting = last(session)
    tablet.post("/undos", posting=posting)
    assert refusal(tablet.post("/undos", posting=posting)) == "This entry was undone already."


def test_an_entry_of_another_station_is_not_undone_here(session, tablet, tablet_at, lot, begun, sam):
    posting = last(session)
    other = tablet_at(station_of(lot.operations[1]))
    other.sign_on(sam)
    assert other.post("/undos", posting=posting).status_code == 404
    assert other.post("/undos").status_code == 404


def test_nobody_signed_on_undoes_nothing(session, tablet, lot, begun):
    posting = last(session)
    tablet.post("/sign-ons/1/end")
    assert "scan your badge to undo" in words(tablet.get("/entries").text)
    assert refusal(tablet.post("/undos", posting=posting)).startswith("Scan your badge first")
    assert whereabouts(lot) == {"10 in_work": 50}
