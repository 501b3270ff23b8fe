"""Moving the day a purchase is expected on: the first promise and every reason stay on record."""

from datetime import date

import pytest
import sqlalchemy as sa

from app.material.errors import (
    ExpectedBeforeOrderedError,
    LineClosedError,
    MaterialOrderNotFoundError,
    MoveReasonError,
    SameDayError,
)
from app.material.models import ExpectedChange
from app.material.services import move_expected
from app.purchasing.queries import expected_changes, lines_on_order
from app.shared.database import change_number
from tests.factories.lots import MORNING
from tests.factories.people import PersonFactory
from tests.factories.purchasing import make_blank_order, make_receipt, make_waiting_lot

FIRST, SECOND, THIRD = date(2026, 1, 12), date(2026, 1, 15), date(2026, 1, 20)


@pytest.fixture
def line(session, blank):
    return make_blank_order(session, blank, (make_waiting_lot(session, blank), 30)).lines[0]


def test_each_earlier_day_stays_on_record_with_its_reason(session, line):
    person = PersonFactory()
    heard = change_number(session)
    move_expected(session, line.id, SECOND, "mill is behind, says Ida", by_id=person.id, now=MORNING)
    move_expected(session, line.id, THIRD, "truck broke down", by_id=None, now=MORNING)
    assert (line.expected_on, change_number(session)) == (THIRD, heard + 2)  # planning hears of each
    told = [(each.expected_before, each.reason, each.changed_by) for each in expected_changes(session, line.id)]
    assert told == [(FIRST, "mill is behind, says Ida", person), (SECOND, "truck broke down", None)]
    [on_order] = lines_on_order(session)
    assert on_order.first_expected == FIRST


def test_what_comes_in_keeps_the_day_it_was_expected_on(session, line):
    receipt = make_receipt(session, line.order, 9)
    move_expected(session, line.id, SECOND, "truck broke down", by_id=None, now=MORNING)
    assert receipt.expected_on == FIRST
    assert make_receipt(session, line.order, 9).expected_on == SECOND


@pytest.mark.parametrize(
    ("day", "reason", "error"),
    [
        (SECOND, "", MoveReasonError),
        (FIRST, "says Ida", SameDayError),
        (date(2026, 1, 6), "says Ida", ExpectedBeforeOrderedError),
    ],
)
def test_a_move_that_makes_no_sense_is_refused(session, line, day, reason, error):
    with pytest.raises(error):
        move_expected(session, line.id, day, reason, by_id=None, now=MORNING)
    session.rollback()
    assert (line.expected_on, session.scalars(sa.select(ExpectedChange)).all()) == (FIRST, [])


def test_a_closed_line_expects_nothing(session, line):
    line.closed_at = MORNING
    session.commit()
    with pytest.raises(LineClosedError):
        move_expected(session, line.id, SECOND, "says Ida", by_id=None, now=MORNING)
    with pytest.raises(MaterialOrderNotFoundError):
        move_expected(session, 999, SECOND, "says Ida", by_id=None, now=MORNING)


def test_the_page_moves_it_and_shows_how_it_was_moved(as_setup_lead, session, line):
    page = f"/purchasing/lines/{line.id}"
    answer = as_setup_lead.post(page, data={"expected_on": "2026-01-15", "reason": "mill is behind"})
    assert (answer.status_code, answer.location) == (303, "/purchasing")
    session.rollback()
    assert line.expected_on == SECOND
    shown = as_setup_lead.get(f"{page}/edit").text
    assert "Until then expected Mon 12 Jan 2026: mill is behind" in shown
    assert as_setup_lead.person.name in shown


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({"expected_on": "2026-01-15", "reason": " "}, "Say why it was moved"),
        ({"expected_on": "", "reason": "mill is behind"}, "Enter the day it is expected on now."),
        ({"expected_on": "2026-01-12", "reason": "mill is behind"}, "It is expected on Mon 12 Jan 2026 already."),
        ({"expected_on": "2026-01-01", "reason": "mill is behind"}, "It cannot be expected before it was ordered"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_typed_is_lost(as_setup_lead, session, line, sent, said):
    answer = as_setup_lead.post(f"/purchasing/lines/{line.id}", data=sent)
    assert answer.status_code == 422
    assert said in answer.text
    assert sent["reason"].strip() in answer.text
    session.rollback()
    assert line.expected_on == FIRST


def test_operators_move_nothing(as_operator, line):
    assert as_operator.get(f"/purchasing/lines/{line.id}/edit").status_code == 403
    assert as_operator.post(f"/purchasing/lines/{line.id}", data={}).status_code == 403
