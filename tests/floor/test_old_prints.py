"""What a station says when the code of a traveler is scanned that is older than the lot."""

from dataclasses import replace

from app.lots.queries.names import lot_name, operation_code
from app.lots.services import move_to_revision, note_print, skip_operation
from tests.factories.lots import act, make_routing, whereabouts
from tests.factories.parts import RevisionFactory
from tests.floor.conftest import refusal, words


def change(session, lot):
    skip_operation(session, replace(act(), note="as agreed"), lot.id, lot.operations[1].id)
    session.commit()


def test_the_square_code_of_an_older_print_begins_the_work_and_says_what_changed(session, tablet, lot):
    change(session, lot)
    link = f"http://shop-pc:8080/c/{operation_code(lot.operations[0])}"
    assert tablet.scan(f"{link}?issue=1").location == tablet.home
    assert "This print is older than the lot: op 20 Step 2 skipped." in words(tablet.get().text)
    tablet.clock.forward(minutes=5)
    tablet.scan(f"{link}?issue=2")
    assert "older than the lot" not in tablet.get().text


def test_a_bar_code_says_it_too_until_the_traveler_is_printed_again(session, tablet, lot):
    note_print(session, act(), lot.id)
    change(session, lot)
    tablet.scan(lot_name(lot))
    assert "older than the lot" in tablet.get().text
    note_print(session, act(), lot.id)
    session.commit()
    tablet.clock.forward(minutes=5)
    tablet.scan(lot_name(lot))
    assert "older than the lot" not in tablet.get().text


def test_skipped_and_removed_operations_answer_plainly(session, tablet, lot):
    first, second, _third = lot.operations
    change(session, lot)
    answer = tablet.scan(operation_code(second))
    assert refusal(answer).startswith(f"The lot was changed: lot {lot_name(lot)} op 20 Step 2 is not to be done")
    newer = RevisionFactory(part=lot.revision.part, label="B")
    make_routing(revision=newer)
    move_to_revision(session, replace(act(), note="new hole"), lot.id, newer.id, first.id)
    session.commit()
    answer = tablet.scan(operation_code(first))
    assert refusal(answer).startswith(f"The lot was changed: lot {lot_name(lot)} op 10 Step 1 is not to be done")
    assert whereabouts(lot) == {"10 waiting": 50}
