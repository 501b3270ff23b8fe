"""Notes on lot, station and shift, and the card with what the last shift left."""

from datetime import time, timedelta

import pytest
import sqlalchemy as sa

from app.floor.models import HandOverSeen, Note
from app.lots.queries.names import lot_name
from app.lots.services import Scrap, SignOff, begin, count_so_far, hold_pieces, sign_off, undo
from app.stations.models import Downtime, Shift
from tests.factories.lots import act, make_lot, station_of
from tests.floor.conftest import refusal, words


def notes(session):
    session.rollback()
    return list(session.scalars(sa.select(Note).order_by(Note.id)))


def test_a_note_on_the_station_stays_until_it_is_taken_down(session, tablet, sam):
    answer = tablet.post("/notes", text="Chuck key hangs on the left", about="station")
    assert answer.location == tablet.home
    assert "Chuck key hangs on the left Sam Okafor, Wed 7 Jan 09:00" in words(tablet.get().text)
    [note] = notes(session)
    assert (note.station_id, note.shift_at, note.person_id) == (tablet.station_id, None, sam.id)
    tablet.post(f"/notes/{note.id}/end")
    assert "Chuck key" not in tablet.get().text
    assert notes(session)[0].taken_down_by_id == sam.id
    assert tablet.post(f"/notes/{note.id}/end").status_code == 303  # sent again


def test_a_note_on_a_lot_goes_with_it(session, tablet, begun, lot, tablet_at, as_operator):
    assert f"Lot {lot_name(lot)}, wherever it goes" in words(tablet.get("/notes").text)
    tablet.post("/notes", text="Burr in slot B", about=f"lot{lot.id}")
    assert f"{lot_name(lot)}: Burr in slot B" in words(tablet.get().text)
    fragment = as_operator.get(f"/floor/lots/{lot.id}/notes", headers={"HX-Request-Type": "partial"})
    assert "Burr in slot B" in fragment.text
    assert "<html" not in fragment.text
    elsewhere = tablet_at(station_of(lot.operations[1]))
    assert "Burr in slot B" not in elsewhere.get().text  # nothing of the lot is open there yet


def test_the_office_leaves_a_note_on_a_lot_and_takes_it_down(session, as_owner, tablet, begun, lot):
    url = f"/floor/lots/{lot.id}/notes"
    assert f'hx-get="{url}"' in as_owner.get(f"/lots/{lot.id}").text
    sent = {"key": "lot-note-1", "text": "Customer visits on Friday"}
    assert as_owner.post(url, data=sent).location == f"/lots/{lot.id}"
    as_owner.post(url, data=sent)
    [note] = notes(session)
    assert note.person_id == as_owner.person.id
    assert "Customer visits on Friday" in words(tablet.get().text)
    other = as_owner.post(url, data={**sent, "text": "Something else"})
    assert other.status_code == 422
    assert "already recorded: Customer visits on Friday" in other.text
    assert 'value="Something else"' in other.text
    assert as_owner.post(f"{url}/{note.id}/end").status_code == 303
    assert "Customer visits" not in tablet.get().text


def test_a_note_without_words_or_too_many_or_by_nobody_is_refused(session, tablet, lot, as_owner):
    empty = tablet.post("/notes", text="", about="station")
    assert (empty.status_code, "Write what the next one should know." in empty.text) == (422, True)
    assert "Use 300 characters or fewer." in tablet.post("/notes", text="x" * 301, about="station").text
    assert "Write what" in as_owner.post(f"/floor/lots/{lot.id}/notes", data={"key": "k" * 9, "text": ""}).text
    assert "There is no lot" in refusal(tablet.post("/notes", text="x", about="lot999"))
    tablet.post("/sign-ons/1/end")
    refused = tablet.post("/notes", text="kept words", about="station")
    assert refusal(refused).startswith("Scan your badge first")
    assert 'value="kept words"' in refused.text
    assert notes(session) == []


def test_a_note_of_another_that_was_taken_down_is_gone(session, tablet, tablet_at, person, lot):
    tablet.post("/notes", text="x", about="station")
    tablet.post("/notes/1/end")
    kim = person("operator", name="Kim Vale")
    tablet.sign_on(kim)
    answer = tablet.post("/notes/1/end")
    assert answer.status_code in {404, 422}
    assert "somebody took it down" in answer.text


def test_a_station_without_shifts_has_no_next_one(session, tablet, lot):
    station_of(lot.operations[0]).shifts.clear()
    session.commit()
    assert "This station has no shifts." in refusal(tablet.post("/notes", text="x", about="shift"))
    assert "No shift runs here now, or none ran before." in words(tablet.get("/hand-over").text)


@pytest.fixture
def yesterday(session, tablet, lot, now, sam):
    """Live through yesterday's shift at the station: pieces done, scrap, a hold, a count, a downtime, a note."""
    here = tablet.station_id
    before = now - timedelta(days=1)

    def at(hours, **more):
        moment = before + timedelta(hours=hours)
        return act(happened_at=moment, recorded_at=moment, station_id=here, person_id=sam.id, **more)

    operation = lot.operations[0]
    begin(session, at(0), [operation.id])
    sign_off(session, at(1), [SignOff(operation.id, 10, (Scrap(2, "tool broke"),))])
    wrong = sign_off(session, at(2), [SignOff(operation.id, 3)])
    undo(session, at(2.1), wrong.id)
    hold_pieces(session, at(3), operation.id, 4, "bore looks large")
    count_so_far(session, at(4), operation.id, 20)
    session.add(
        Downtime(
            station_id=here,
            starts_at=before + timedelta(hours=5),
            ends_at=before + timedelta(hours=6),
            reason="coolant pump",
        )
    )
    session.add(
        Note(
            client_key="yesterday-1",
            station_id=here,
            shift_at=before - timedelta(hours=3),
            text="Watch insert 3",
            person_id=sam.id,
            written_at=before + timedelta(hours=6),
        )
    )
    session.commit()
    return operation


def test_the_card_tells_what_the_last_shift_left(tablet, yesterday, lot):
    card = words(tablet.get().text)
    assert "What the last shift left, Tue 6 Jan 06:00 to 18:00" in card
    part = lot.revision.part.number
    assert f"{part} op 10, {lot_name(lot)}: 20 of 34 counted" in card
    assert f"{part} op 10, {lot_name(lot)}: 10 good 20 counted 2 scrap 4 held (tool broke, bore looks large)" in card
    assert "Tue 6 Jan 14:00 until Tue 6 Jan 15:00: coolant pump" in card
    assert "Watch insert 3 Sam Okafor, Tue 6 Jan 15:00" in card


def test_seen_by_whom_and_then_it_makes_room(session, tablet, yesterday, person, sam, clock):
    assert tablet.post("/hand-over/seen").location == tablet.home
    tablet.post("/hand-over/seen")
    [seen] = session.scalars(sa.select(HandOverSeen)).all()
    assert (seen.person_id, seen.seen_at) == (sam.id, clock.now)
    assert "Watch insert 3" not in tablet.get().text
    assert "Seen by Sam Okafor 09:00" in words(tablet.get("/hand-over").text)
    tablet.sign_on(person("operator", name="Kim Vale"))
    assert "Watch insert 3" in tablet.get().text  # Kim has not seen it
    tablet.post("/sign-ons/2/end")
    assert "Watch insert 3" not in tablet.get().text  # somebody of this shift has
    clock.forward(days=1)
    assert "Watch insert 3" not in tablet.get().text  # the next shift reads what this one left


def test_seen_by_nobody_is_refused(session, tablet, yesterday):
    tablet.post("/sign-ons/1/end")
    assert "Scan your badge to say that you have seen it." in words(tablet.get().text)
    assert refusal(tablet.post("/hand-over/seen")).startswith("Scan your badge first")
    assert session.scalars(sa.select(HandOverSeen)).all() == []


def test_a_note_for_the_next_shift_is_read_by_it(session, tablet, lot, clock, sam):
    tablet.post("/notes", text="First op of the day: check the jaws", about="shift")
    assert "check the jaws" not in tablet.get().text
    clock.forward(days=1)
    assert "check the jaws" in tablet.get().text


def test_shifts_that_follow_each_other_hand_over_at_once(session, tablet, lot, clock):
    early, late = (time(6), time(10)), (time(10), time(18))
    station = station_of(lot.operations[0])
    station.shifts = [Shift(weekday=2, starts=starts, ends=ends) for starts, ends in (early, late)]
    session.commit()
    tablet.post("/notes", text="Warm it up slowly", about="shift")
    clock.forward(hours=1)
    assert "What the last shift left, Wed 7 Jan 06:00 to 10:00" in words(tablet.get().text)
    assert "Warm it up slowly" in tablet.get().text


def test_the_card_takes_the_same_statements_whatever_was_done(session, engine, tablet, yesterday, lot, sam):
    def count() -> int:
        seen = []

        def note(_connection, _cursor, statement, *_rest):
            seen.append(statement)

        sa.event.listen(engine, "before_cursor_execute", note)
        tablet.get("/hand-over")
        sa.event.remove(engine, "before_cursor_execute", note)
        return len(seen)

    before = count()
    for _ in range(4):
        other = make_lot(session)
        moment = act().happened_at - timedelta(hours=22)
        facts = {"happened_at": moment, "recorded_at": moment, "station_id": tablet.station_id}
        sign_off(session, act(**facts), [SignOff(other.operations[0].id, 5)])
    assert count() <= before
