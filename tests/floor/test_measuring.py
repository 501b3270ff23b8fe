"""Measuring at a station: two scans stay two scans, readings go one after another, and a bad one stops the lot."""

from datetime import timedelta

import pytest
import sqlalchemy as sa

from app.lots.models import Lot
from app.lots.queries.names import operation_code
from app.parts.models import FrequencyKind
from app.quality.models import AllChecked, Nonconformance, Reading, Waiver
from tests.factories.lots import make_lot, make_routing, station_of
from tests.factories.quality import CharacteristicFactory
from tests.floor.conftest import refusal, words
from tests.floor.paper_sheets import beside

TWO = {"checking_kind": FrequencyKind.EVERY_PIECE, "recording_kind": FrequencyKind.FIRST_AND_LAST}


@pytest.fixture
def lot(session, shop) -> Lot:
    """Return a lot of 6 pieces with a bore and a width to measure at its first operation."""
    routing = make_routing()
    CharacteristicFactory(revision=routing.revision, number=1, first_piece=True, **TWO)
    CharacteristicFactory(revision=routing.revision, number=2, name="Width", **TWO)
    return make_lot(session, pieces=6, routing=routing)


@pytest.fixture
def read(tablet, begun):
    def send(nth: int, typed: str, **fields):
        of = begun.characteristics[nth].id
        return tablet.post(tablet.at(begun, "/readings"), of=of, typed=typed, **fields)

    return send


def kept(session):
    session.rollback()
    return session.scalars(sa.select(Reading).order_by(Reading.id)).all()


def test_from_first_piece_to_sign_off(session, tablet, begun, read):
    page = words(tablet.get().text)
    assert "Measure: 1 due" in page
    assert "The first piece must pass" in tablet.post(tablet.at(begun, "/runs")).text
    answer = read(0, "0.5002")
    assert answer.status_code == 303
    shown = words(tablet.client.get(answer.location).text)
    assert "1 Bore, piece 1" in shown
    assert "0.5002 in good" in shown
    assert tablet.post(tablet.at(begun, "/runs")).status_code == 303
    sentence = refusal(tablet.done(begun))
    assert "A reading of 2 Width is missing: piece 1, 6." in sentence
    assert "Nobody has said yet that all pieces were checked." in sentence
    for nth, piece in ((0, 6), (1, 1), (1, 6)):
        assert read(nth, "0.4999", piece=piece).status_code == 303
    assert tablet.post(tablet.at(begun, "/all-checked")).status_code == 303
    assert tablet.done(begun).status_code == 303
    assert (begun.passed, len(kept(session)), session.scalars(sa.select(AllChecked.pieces)).all()) == (6, 4, [6])


def test_a_slip_is_questioned_beside_the_reading_and_nothing_is_kept(session, tablet, begun, read):
    answer = read(0, "5.001", piece=3)
    assert answer.status_code == 422
    page = words(answer.text)
    assert "5.001 lies far outside 0.4995 to 0.5005 in." in page
    assert "Yes, keep 5.001" in page
    assert 'value="3"' in answer.text
    assert kept(session) == []
    assert read(0, "5.001", piece=3, sure="5.001").status_code == 303
    assert [each.questioned for each in kept(session)] == [True]


@pytest.mark.parametrize(
    ("typed", "fields", "sentence"),
    [
        ("x" * 10_000, {}, "is not one"),
        ("1" * 10_000, {}, "at most 9 digits"),
        ("0.5", {"piece": "7"}, "numbered from 1 to 6"),
        ("0.5", {"piece": "no"}, "whole number"),
    ],
)
def test_nonsense_is_refused_beside_its_field(session, read, typed, fields, sentence):
    answer = read(0, typed, **fields)
    assert answer.status_code == 422
    assert sentence in words(answer.text)
    assert kept(session) == []


def test_an_estimated_count_is_marked_and_put_right_with_one_tap(tablet, clock, begun, read):
    read(0, "0.5001")
    tablet.post(tablet.at(begun, "/runs"))
    clock.now += timedelta(minutes=7)
    page = words(tablet.get(tablet.at(begun, "/readings")).text)
    assert "About 3 of 6 made, estimated" in page
    assert tablet.post(tablet.at(begun, "/made"), made=2).status_code == 303
    assert "2 of 6 made" in words(tablet.get(tablet.at(begun, "/readings")).text)
    assert "7 pieces" in words(tablet.post(tablet.at(begun, "/made"), made=7).text)


def test_out_of_tolerance_the_lot_is_held_the_plan_shown_and_the_rest_split_free(
    session, tablet, lot, begun, read, person
):
    read(0, "0.5001")
    tablet.post(tablet.at(begun, "/runs"))
    tablet.post(tablet.at(begun, "/made"), made=4)
    answer = read(0, "0.5008", piece=4)
    page = words(tablet.client.get(answer.location).text)
    for said in (
        "N1: pieces 2 to 4 are suspect",
        "The lot is on hold.",
        "Stop. Call the setup lead.",
        "0.0003 in above",
    ):
        assert said in page
    assert "is on hold" in tablet.done(begun).text
    found = session.scalars(sa.select(Nonconformance)).one()
    split = tablet.at(begun, f"/suspects/{found.id}")
    assert "takes a setup lead" in refusal(tablet.post(split))
    tablet.sign_on(person("setup lead"))
    assert tablet.post(split).status_code == 303
    session.expire_all()
    assert (lot.hold_reason, found.lot.parent_id, found.lot.on_hold) == ("", lot.id, True)


def test_only_an_inspector_lets_it_go_on_and_the_reason_stays(session, tablet, begun, person):
    path = tablet.at(begun, "/waivers")
    assert "is no inspector" in refusal(tablet.post(path, reason="hurry"))
    tablet.sign_on(person("inspector", name="Ines Ruiz"))
    assert "Say why" in beside(tablet.post(path, reason="").text, "reason")
    assert tablet.post(path, reason="Measured on the bench").status_code == 303
    assert tablet.done(begun).status_code == 303
    waiver = session.scalars(sa.select(Waiver)).one()
    assert (waiver.reason, waiver.person.name) == ("Measured on the bench", "Ines Ruiz")


def test_a_wrong_reading_is_struck_out_with_a_reason(session, tablet, begun, read):
    read(0, "0.5001")
    [reading] = kept(session)
    path = tablet.at(begun, f"/readings/{reading.id}/strikes")
    assert "Say why" in beside(tablet.post(path, reason=" ").text, f"why-{reading.id}")
    assert tablet.post(path, reason="other piece").status_code == 303
    assert "Struck out by Sam Okafor: other piece" in words(tablet.get(tablet.at(begun, "/readings")).text)


def test_a_count_that_is_none_is_asked_for_beside_its_field_and_stays_there(tablet, begun):
    answer = tablet.post(tablet.at(begun, "/made"), made="5x")
    assert (answer.status_code, 'value="5x"' in answer.text) == (422, True)
    assert "Type a whole number" in beside(answer.text, "made")


def test_an_operation_with_no_plan_stays_two_scans_and_says_nothing_of_measuring(session, shop, tablet_at, sam):
    lot = make_lot(session)
    first = lot.operations[0]
    tablet = tablet_at(station_of(first))
    tablet.sign_on(sam)
    tablet.scan(operation_code(first))
    assert "Measure" not in tablet.get().text
    assert tablet.scan(operation_code(first)).location.endswith("/done")
    assert tablet.done(first).status_code == 303
