"""Enter from paper: a traveler's rows, or a station's shift, checked as a whole and kept as happened then."""

from datetime import timedelta

import pytest
import sqlalchemy as sa

from app.lots.models import ComponentUse, Job, Verb
from app.lots.queries import ledger_of
from app.lots.queries.verify import differences
from app.lots.services import SignOff, begin, hold_lot, sign_off
from app.parts.models import Component
from tests.factories.lots import act, make_lot, make_routing, station_of, whereabouts
from tests.factories.material import ReceiptFactory
from tests.factories.parts import PartFactory
from tests.factories.people import PersonFactory
from tests.factories.stations import ShopFactory
from tests.floor.paper_sheets import RELEASED, beside, kept, moment, of_lot, row


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


@pytest.fixture
def ina(session):
    return PersonFactory(name="Ina Brook", initials="IB")


@pytest.fixture
def lot(session, ina):
    return make_lot(session, pieces=50, when=RELEASED)


def test_several_operations_and_people_are_kept_as_happened_then_and_recorded_now(as_setup_lead, session, lot, now):
    PersonFactory(initials="JD")
    first, second, third = lot.operations
    answer = of_lot(
        as_setup_lead,
        lot,
        row(first, begun="07:00", done="09:30", good=48, scrap=2, reason="tool broke", station=station_of(first).id),
        row(second, done="11:00", good=30, day="", initials="jd"),
        row(second, done="13:15", good=18, day="", initials=""),
        row(third, begun="14:00", good="", day="", initials="IB", station=station_of(third).id),
    )
    assert answer.status_code == 303
    session.rollback()
    assert whereabouts(lot) == {"10 scrapped": 2, "30 in_work": 48}
    made = [each for each in ledger_of(session, lot.id) if each.verb is not Verb.START]
    assert [(each.verb, each.happened_at) for each in made] == [
        (Verb.BEGIN_RUN, moment(6, "07:00")),
        (Verb.SIGN_OFF, moment(6, "09:30")),
        (Verb.SIGN_OFF, moment(6, "11:00")),
        (Verb.SIGN_OFF, moment(6, "13:15")),
        (Verb.BEGIN_RUN, moment(6, "14:00")),
    ]
    assert {each.recorded_at for each in made} == {now}
    assert {each.recorded_by_id for each in made} == {as_setup_lead.person.id}
    assert [each.person.initials for each in made] == ["IB", "IB", "JD", "JD", "IB"]
    assert not any(each.is_estimate for each in made)
    [job] = session.scalars(sa.select(Job))
    assert (job.operation_id, job.pieces, job.begun_at) == (third.id, 48, moment(6, "14:00"))
    assert list(differences(session)) == []
    page = as_setup_lead.get(f"/lots/{lot.id}").text
    assert "entered from paper" in page
    assert "2\u00a0h 30\u00a0min" in page


def test_a_form_sent_twice_counts_once_and_with_other_rows_is_refused(as_owner, session, lot):
    first = lot.operations[0]
    for _time in range(2):
        assert of_lot(as_owner, lot, row(first, done="09:30", good=50)).status_code == 303
    assert kept(session, lot) == [(Verb.SIGN_OFF, moment(6, "09:30"))]
    again = of_lot(as_owner, lot, row(first, done="09:30", good=49))
    assert again.status_code == 422
    assert "already recorded" in again.text


def test_the_form_offers_a_row_for_each_operation_with_the_pieces_to_come(as_owner, session, lot):
    sign_off(session, act(), [SignOff(lot.operations[0].id, 40)])
    page = as_owner.get(f"/floor/paper/lots/{lot.id}").text
    assert page.count("data-row>") == 3
    assert "10 pieces expected" in page
    assert page.count("50 pieces expected") == 2


def test_rows_in_which_nothing_is_written_are_left_out_though_their_counts_were_filled_in(as_owner, session, lot):
    first, second, _third = lot.operations
    answer = of_lot(
        as_owner,
        lot,
        row(first, done="09:30", good=50, expected=50),
        row(second, day="", initials="", good=50, expected=50),
    )
    assert answer.status_code == 303
    assert len(kept(session, lot)) == 1


def test_a_form_in_which_nothing_is_written_says_so(as_owner, session, lot):
    answer = of_lot(as_owner, lot, row(lot.operations[0], day="", initials="", good=50, expected=50))
    assert answer.status_code == 422
    assert "Fill in at least one row" in answer.text


@pytest.mark.parametrize(
    ("facts", "field", "message"),
    [
        ({"done": "", "good": 5}, "done", "Type when it was done"),
        ({"day": "", "done": "9:30", "good": 5}, "day", "Type the day"),
        ({"initials": "", "done": "9:30", "good": 5}, "initials", "Type the initials"),
        ({"initials": "ZZ", "done": "9:30", "good": 5}, "initials", "Nobody who works here has the initials ZZ"),
        ({"done": "25:00", "good": 5}, "done", "time of day"),
        ({"done": "9:30", "good": "many"}, "good", "whole number"),
        ({"done": "9:30"}, "good", "Type how many pieces are good"),
        ({"done": "9:30", "good": 0}, "good", "how many pieces came out of it"),
        ({"done": "9:30", "good": 5, "scrap": 1}, "reason", "Say why"),
        ({"done": "9:30", "good": 51}, "good", "has 50 at that time"),
        ({"done": "9:01", "day": "2026-01-07", "good": 5}, "done", "in the future"),
        ({"done": "7:59", "day": "2026-01-05", "good": 5}, "done", "nothing can have been done before"),
        ({"begun": "14:30", "done": "14:10", "good": 5}, "done", "before it was begun"),
        ({"begun": "9:00", "done": "9:30", "good": 5, "station": 0}, "station", "Choose the station"),
        ({"begun": "9:00", "good": 5}, "done", "leave good and scrap out"),
    ],
)
def test_what_is_wrong_stands_beside_its_cell_nothing_is_lost_and_nothing_kept(
    as_owner, session, lot, facts, field, message
):
    first = lot.operations[0]
    answer = of_lot(as_owner, lot, row(first, **{"station": station_of(first).id, **facts}))
    assert answer.status_code == 422
    assert message in beside(answer.text, f"rows-0-{field}")
    for value in facts.values():
        if value not in {"", 0}:
            assert str(value) in answer.text
    assert kept(session, lot) == []


def test_everything_that_is_wrong_is_said_at_once(as_owner, session, lot):
    first, second, third = lot.operations
    answer = of_lot(
        as_owner,
        lot,
        row(first, done="09:30", good=48, scrap=2),
        row(second, done="11:00", good=49, initials="ZZ"),
        row(second, done="10:00", good=1),
        row(third, done="12:00", day="2026-01-08", good=1),
    )
    page = answer.text
    assert "Say why" in beside(page, "rows-0-reason")
    assert "ZZ" in beside(page, "rows-1-initials")
    assert "has 47 at that time" in beside(page, "rows-1-good")
    assert "before row 2" in beside(page, "rows-2-done")
    assert "future" in beside(page, "rows-3-done")
    assert "Row 2, Initials" in page
    assert kept(session, lot) == []


def test_counts_hold_through_the_whole_routing_in_the_order_of_time(as_owner, session, lot):
    """The second operation cannot have worked on pieces that the first had not passed yet."""
    first, second, _third = lot.operations
    answer = of_lot(as_owner, lot, row(first, done="12:00", good=50), row(second, done="11:00", good=10))
    assert "has 0 at that time" in beside(answer.text, "rows-1-good")
    assert kept(session, lot) == []


def test_rows_from_before_other_entries_fold_as_they_happened(as_owner, session, lot):
    """The books have a job that began at noon; paper brings what was done there before it."""
    first = lot.operations[0]
    noon = {"happened_at": moment(6, "12:00"), "recorded_at": moment(6, "12:00")}
    sign_off(session, act(happened_at=moment(6, "09:00"), recorded_at=moment(6, "09:00")), [SignOff(first.id, 20)])
    second = lot.operations[1]
    begin(session, act(station_id=station_of(second).id, **noon), [second.id])
    paper = row(first, begun="07:00", done="08:00", good=30, station=station_of(first).id)
    assert of_lot(as_owner, lot, paper).status_code == 303
    assert [verb for verb, _when in kept(session, lot)] == [
        Verb.BEGIN_RUN, Verb.SIGN_OFF, Verb.SIGN_OFF, Verb.BEGIN_RUN,
    ]  # fmt: skip
    assert whereabouts(lot) == {"20 waiting": 30, "20 in_work": 20}
    assert list(differences(session)) == []


def test_an_entry_that_stands_in_the_way_is_named(as_owner, session, lot, ina):
    first = lot.operations[0]
    noon = {"happened_at": moment(6, "12:00"), "recorded_at": moment(6, "12:00"), "person_id": ina.id}
    begin(session, act(station_id=station_of(first).id, **noon), [first.id])
    answer = of_lot(as_owner, lot, row(first, done="09:00", good=30))
    message = beside(answer.text, "rows-0-good")
    assert "30 of these pieces were taken" in message
    assert "begin run, Tue 6 Jan 12:00, by Ina Brook" in message
    assert "Undo that entry first" in message


def test_pieces_that_the_books_bring_only_later_are_named(as_owner, session, lot):
    noon = {"happened_at": moment(6, "12:00"), "recorded_at": moment(6, "12:00")}
    sign_off(session, act(**noon), [SignOff(lot.operations[0].id, 50)])
    answer = of_lot(as_owner, lot, row(lot.operations[1], done="09:00", good=30))
    assert "only later: sign off, Tue 6 Jan 12:00" in beside(answer.text, "rows-0-good")


def test_paper_ends_the_job_that_the_books_have_open(as_owner, session, lot):
    first = lot.operations[0]
    seven = {"happened_at": moment(6, "07:00") + timedelta(seconds=40), "recorded_at": moment(6, "07:01")}
    begin(session, act(station_id=station_of(first).id, **seven), [first.id])
    paper = row(first, done="07:00", good=50, station=station_of(first).id)
    assert of_lot(as_owner, lot, paper).status_code == 303
    session.rollback()
    assert session.scalars(sa.select(Job)).all() == []
    assert kept(session, lot)[-1] == (Verb.SIGN_OFF, seven["happened_at"])
    assert list(differences(session)) == []


def test_work_over_midnight_began_on_the_day_before(as_owner, session, lot):
    first = lot.operations[0]
    paper = row(first, begun="22:00", done="05:30", good=50, station=station_of(first).id)
    assert of_lot(as_owner, lot, paper).status_code == 303
    assert [when for _verb, when in kept(session, lot)] == [moment(5, "22:00"), moment(6, "05:30")]


def test_a_lot_on_hold_is_refused(as_owner, session, lot):
    hold_lot(session, act(), lot.id, "drawing is unclear")
    answer = of_lot(as_owner, lot, row(lot.operations[0], done="09:00", good=30))
    assert "on hold: drawing is unclear" in beside(answer.text, "rows-0-operation")


def test_a_first_piece_is_asked_for_and_kept(as_owner, session, ina):
    lot = make_lot(session, routing=make_routing(first_piece=True), when=RELEASED)
    first = lot.operations[0]
    asked = of_lot(as_owner, lot, row(first, done="09:00", good=30))
    assert "needs a good first piece" in beside(asked.text, "rows-0-first_piece")
    assert of_lot(as_owner, lot, row(first, done="09:00", good=30, first_piece="y")).status_code == 303
    assert [verb for verb, _when in kept(session, lot)] == [Verb.FIRST_PIECE, Verb.SIGN_OFF]


def test_components_are_asked_for_and_taken_from_the_receipts_named(as_owner, session, ina):
    pin = PartFactory(number="PIN-4")
    routing = make_routing()
    routing.revision.components.append(Component(part=pin, operation_number=10, per_piece=2))
    session.commit()
    lot = make_lot(session, pieces=20, routing=routing, when=RELEASED)
    small, large = (ReceiptFactory(part=pin, revision=None, pieces=pieces) for pieces in (15, 100))
    first = lot.operations[0]
    asked = of_lot(as_owner, lot, row(first, done="09:00", good=20))
    assert "40 more of component PIN-4" in beside(asked.text, "rows-0-components")
    codes = f"{small.code}, {large.code}"
    assert of_lot(as_owner, lot, row(first, done="09:00", good=20, components=codes)).status_code == 303
    session.rollback()
    used = session.execute(sa.select(ComponentUse.receipt_id, ComponentUse.pieces).order_by(ComponentUse.id)).all()
    assert used == [(small.id, 15), (large.id, 25)]
    wrong = of_lot(as_owner, lot, row(lot.operations[1], done="10:00", good=20, components=small.code), key="other")
    assert "is not a component" in beside(wrong.text, "rows-0-components")
