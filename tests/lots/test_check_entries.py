"""A later area refuses releases and sign-offs through the checks that it registers."""

import pytest
import sqlalchemy as sa

from app.core.scan_code import CodeKind, format_code
from app.lots.errors import EntryRefusedError
from app.lots.models import Entry, Lot, Posting, Verb
from app.lots.services import (
    NewLot,
    SignOff,
    begin,
    check_entries,
    checks,
    record_earlier,
    release_lot,
    send_ahead,
    sign_off,
)
from tests.factories.lots import act, make_lot, make_routing, station_of, whereabouts
from tests.factories.stations import ShopFactory


@pytest.fixture
def seen(monkeypatch, app):
    """Register a check in the app that notes what it sees and refuses ten pieces or more."""
    monkeypatch.setattr(checks, "_checks", [])
    noted: list[tuple[Verb, int]] = []

    def readings_missing(session, entry: Entry):
        assert session.get(Entry, entry.id) is entry
        noted.append((entry.posting.verb, entry.quantity))
        if entry.quantity >= 10:
            yield f"Readings of lot {format_code(CodeKind.LOT, entry.lot.number)} are missing."

    with app.app_context():
        check_entries(readings_missing)
        check_entries(readings_missing)
    return noted


def at(operation):
    return act(station_id=station_of(operation).id)


def test_a_release_that_a_check_refuses_leaves_no_lot(session, seen):
    routing = make_routing()
    new = NewLot(revision_id=routing.revision_id, needed=10, to_start=10)
    with pytest.raises(EntryRefusedError, match="Readings of lot L"):
        release_lot(session, act(), new)
    assert session.scalars(sa.select(Lot.id)).all() == []
    assert seen == [(Verb.START, 10)]


def test_what_a_check_lets_pass_is_kept(session, seen):
    lot = make_lot(session, pieces=9)
    first = lot.operations[0]
    begin(session, at(first), [first.id])
    send_ahead(session, at(first), first.id, 4)
    sign_off(session, at(first), [SignOff(first.id, 5)])
    record_earlier(session, act(), lot.operations[2].id, 3)
    assert whereabouts(lot) == {"20 waiting": 6, "30 waiting": 3}
    assert seen == [(Verb.START, 9), (Verb.SEND_AHEAD, 4), (Verb.SIGN_OFF, 5), (Verb.RECORD_LATE, 3)]


@pytest.mark.parametrize(
    "pass_on",
    [
        lambda session, op: sign_off(session, at(op), [SignOff(op.id, 10)]),
        lambda session, op: send_ahead(session, at(op), op.id, 10),
        lambda session, op: record_earlier(session, act(), op.lot.operations[1].id, 10),
    ],
    ids=["signed off", "sent ahead", "recorded late"],
)
def test_pieces_that_a_check_refuses_stay_where_they_are(session, monkeypatch, pass_on):
    lot = make_lot(session)
    first = lot.operations[0]
    begin(session, at(first), [first.id])
    monkeypatch.setattr(checks, "_checks", [lambda _session, _entry: ["Measure it first.", "Measure it first."]])
    with pytest.raises(EntryRefusedError, match=r"^Measure it first\.$"):
        pass_on(session, first)
    session.rollback()
    assert whereabouts(lot) == {"10 in_work": 50}
    assert session.scalars(sa.select(Posting.verb)).all() == [Verb.START, Verb.BEGIN_RUN]


def test_the_release_page_says_why_and_keeps_what_was_typed(session, seen, as_owner):
    ShopFactory()
    routing = make_routing()
    typed = {"key": "k1", "revision_id": routing.revision_id, "needed": "41", "to_start": "43", "then": "release"}
    response = as_owner.post("/lots", data=typed)
    assert response.status_code == 422
    assert "Readings of lot L" in response.text
    assert 'value="43"' in response.text
    assert session.scalars(sa.select(Lot.id)).all() == []
