"""Moves of some pieces: counted, sent ahead, split, held, released, scrap, rework; and whole lots on hold."""

import pytest
import sqlalchemy as sa

from app.lots.models import Entry, Lot, Place, Posting, Verb
from app.lots.queries.names import lot_name
from app.lots.services import begin, hold_lot, hold_pieces, send_ahead
from tests.factories.lots import act, make_lot, station_of, whereabouts
from tests.floor.conftest import refusal, words

MOVES = ["counts", "sent-ahead", "splits", "holds", "releases", "scraps", "reworks"]


def test_counted_so_far_is_kept_and_shown(tablet, lot, begun):
    assert tablet.post(tablet.at(begun, "/counts"), pieces=24).location == tablet.home
    assert whereabouts(lot) == {"10 in_work": 26, "10 counted": 24}
    page = words(tablet.get().text)
    assert "24 counted so far." in page
    assert "24 of 50 counted" in page


def test_what_was_counted_is_offered_to_be_sent_ahead(tablet, lot, begun):
    tablet.post(tablet.at(begun, "/counts"), pieces=24)
    assert 'value="24"' in tablet.get(tablet.at(begun, "/sent-ahead")).text
    tablet.post(tablet.at(begun, "/sent-ahead"), pieces=24)
    assert whereabouts(lot) == {"10 in_work": 26, "20 waiting": 24}


def test_some_pieces_become_a_lot_of_their_own(session, tablet, lot, begun):
    tablet.post(tablet.at(begun, "/splits"), pieces=20)
    child = session.scalars(sa.select(Lot).where(Lot.parent_id == lot.id)).one()
    assert (whereabouts(lot), whereabouts(child)) == (
        {"10 in_work": 30, "in_other_lots": 20},
        {"10 waiting": 20},
    )
    assert "All pieces of" in refusal(tablet.post(tablet.at(begun, "/splits"), pieces=30))


def test_scrap_found_here_names_the_operation_that_caused_it(session, tablet_at, lot, sam):
    first, second, _ = lot.operations
    begin(session, act(station_id=station_of(first).id), [first.id])
    send_ahead(session, act(station_id=station_of(first).id), first.id, 50)
    tablet = tablet_at(station_of(second))
    tablet.sign_on(sam)
    page = tablet.get(tablet.at(second, "/scraps")).text
    assert "Caused by operation" in page
    tablet.post(tablet.at(second, "/scraps"), pieces=3, reason="Wrong size", other=first.id)
    entry = session.scalars(sa.select(Entry).where(Entry.to_place == Place.SCRAPPED)).one()
    assert (entry.from_operation_id, entry.cause_operation_id, entry.reason) == (second.id, first.id, "Wrong size")
    tablet.post(tablet.at(second, "/reworks"), pieces=7, words="burr", other=first.id)
    assert whereabouts(lot) == {"10 waiting": 7, "20 waiting": 40, "20 scrapped": 3}


def test_pieces_are_held_by_anybody_and_released_only_by_some(session, tablet, lot, begun, person):
    tablet.post(tablet.at(begun, "/holds"), pieces=10, reason="Wrong size")
    assert whereabouts(lot) == {"10 in_work": 40, "10 held": 10}
    sentence = refusal(tablet.post(tablet.at(begun, "/releases"), pieces=10))
    assert sentence == (
        "Releasing what is held takes a setup lead, an inspector or an owner. Ask one to scan their badge."
    )
    for role in ("setup lead", "inspector", "owner"):
        tablet.sign_on(person(role))
        tablet.post(tablet.at(begun, "/releases"), pieces=2)
    assert whereabouts(lot) == {"10 waiting": 6, "10 in_work": 40, "10 held": 4}


def test_a_whole_lot_is_held_by_anybody_and_released_only_by_some(session, tablet, lot, begun, person):
    there = f"{tablet.home}{tablet.at(begun)}"
    assert tablet.post(tablet.at(begun, "/lot-holds"), reason="drawing question").location == there
    assert lot.hold_reason == "drawing question"
    assert "drawing question" in tablet.client.get(there).text
    assert "is on hold" in refusal(tablet.post(tablet.at(begun, "/lot-holds"), reason="again"))
    assert "takes a setup lead" in refusal(tablet.post(tablet.at(begun, "/lot-releases")))
    tablet.sign_on(person("inspector"))
    assert tablet.post(tablet.at(begun, "/lot-releases")).location == there
    assert not lot.on_hold


def test_a_hold_needs_a_reason(tablet, lot, begun):
    response = tablet.post(tablet.at(begun, "/lot-holds"), reason="")
    assert response.status_code == 422
    assert "Say why: choose or write a reason." in response.text
    assert not lot.on_hold


@pytest.mark.parametrize("move", ["holds", "scraps", "reworks"])
def test_what_sets_pieces_aside_needs_a_reason(tablet, lot, begun, move):
    response = tablet.post(tablet.at(begun, f"/{move}"), pieces=3, other=begun.id)
    assert response.status_code == 422
    assert "Say why: choose or write a reason." in words(response.text)
    assert 'value="3"' in response.text
    assert whereabouts(lot) == {"10 in_work": 50}


@pytest.mark.parametrize(
    ("move", "sentence"),
    [
        ("counts", "51 pieces are more than can be there"),
        ("sent-ahead", "51 pieces are more than can be there"),
        ("splits", "51 pieces are more than can be there"),
        ("holds", "51 pieces are more than can be there"),
        ("scraps", "51 pieces are more than can be there"),
        ("reworks", "51 pieces are more than can be there"),
    ],
)
def test_more_than_could_exist_is_refused_and_what_was_typed_stays(tablet, lot, begun, move, sentence):
    response = tablet.post(tablet.at(begun, f"/{move}"), pieces=51, reason="Bad blank", other=begun.id)
    assert refusal(response).startswith(sentence)
    assert 'value="51"' in response.text
    assert whereabouts(lot) == {"10 in_work": 50}


@pytest.mark.parametrize("typed", ["", "x", "-1", "1.5"])
@pytest.mark.parametrize("move", ["counts", "splits"])
def test_no_number_is_asked_for_beside_the_field(tablet, lot, begun, move, typed):
    response = tablet.post(tablet.at(begun, f"/{move}"), pieces=typed)
    assert response.status_code == 422
    assert 'class="field field--wrong"' in response.text
    assert whereabouts(lot) == {"10 in_work": 50}


@pytest.mark.parametrize("move", MOVES)
def test_each_move_needs_somebody_signed_on(session, tablet, begun, move):
    tablet.post("/sign-ons/1/end")
    before = session.scalars(sa.select(sa.func.count(Posting.id))).one()
    fields = {"pieces": 1, "reason": "Bad blank", "other": begun.id}
    assert refusal(tablet.post(tablet.at(begun, f"/{move}"), **fields)).startswith("Scan your badge first")
    assert session.scalars(sa.select(sa.func.count(Posting.id))).one() == before


@pytest.mark.parametrize("move", MOVES)
def test_each_move_has_a_form(tablet, begun, move):
    page = tablet.get(tablet.at(begun, f"/{move}"))
    assert page.status_code == 200
    assert "data-scan-form" in page.text


def test_there_is_no_other_move(tablet, begun):
    assert tablet.get(tablet.at(begun, "/gifts")).status_code == 404
    assert tablet.post("/operations/999/counts", pieces=1).status_code == 404


def test_a_scan_into_the_form_keeps_what_was_typed_and_moves_nothing(session, tablet, lot, begun):
    response = tablet.post(tablet.at(begun, "/scraps"), pieces=3, words="burr", other=begun.id, code=lot_name(lot))
    page = tablet.client.get(response.location).text
    assert 'value="3"' in page
    assert 'value="burr"' in page
    other = make_lot(session)
    response = tablet.post(tablet.at(begun, "/scraps"), pieces=3, other=begun.id, code=lot_name(other))
    assert refusal(response).startswith(f"This is lot {lot_name(other)}, and the form is for lot {lot_name(lot)}.")
    assert whereabouts(lot) == {"10 in_work": 50}


def test_a_moves_key_counts_once(session, tablet, lot, begun):
    for _ in range(2):
        tablet.post(tablet.at(begun, "/sent-ahead"), pieces=5, key="sent-ahead-once")
    assert whereabouts(lot) == {"10 in_work": 45, "20 waiting": 5}
    verbs = session.scalars(sa.select(Posting.verb)).all()
    assert verbs.count(Verb.SEND_AHEAD) == 1


def test_an_operations_page_shows_where_its_pieces_are_and_what_can_be_done(session, tablet, lot, begun):
    hold_pieces(session, act(), begun.id, 5, "soft?")
    page = words(tablet.get(tablet.at(begun)).text)
    assert "Waiting 0 In work 45 Counted 0 Held 5 Scrap 0 Passed 0" in page
    for label in ("Done", "Counted so far", "Send pieces ahead", "Split pieces off", "Release held pieces"):
        assert label in page
    assert "Begin here" not in page


def test_a_lot_on_hold_cannot_be_begun_from_its_page(session, tablet, lot):
    hold_lot(session, act(), lot.id, "drawing question")
    page = words(tablet.get(tablet.at(lot.operations[0])).text)
    assert "Begin here" not in page
    assert "Release the lot" in page
