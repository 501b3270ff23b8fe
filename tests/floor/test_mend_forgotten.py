"""Forgotten sign-offs: what the review lists, and how each is mended in one step, as an estimate."""

from datetime import timedelta

import pytest
import sqlalchemy as sa

from app.floor.queries import forgotten
from app.lots.models import Job, Posting, Verb
from app.lots.queries import ledger_of
from app.lots.queries.verify import differences
from app.lots.services import (
    SignOff,
    begin,
    hold_lot,
    pause,
    record_earlier,
    rework_pieces,
    run,
    send_ahead,
    sign_off,
    undo,
)
from app.parts.models import Taking
from tests.factories.lots import act, make_lot, make_ordered_lot, make_routing, station_of, whereabouts
from tests.factories.schedule import forecast_of, plan_now
from tests.factories.stations import ClosureFactory, OvertimeFactory, ShopFactory
from tests.floor.test_enter_from_paper import RELEASED, beside, moment
from tests.statements import counted


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


@pytest.fixture
def lot(session):
    """Return a lot of 30: each operation is planned for 30 min of set-up and an hour of run."""
    return make_lot(session, pieces=30, when=RELEASED)


def then(when, operation=None, **more):
    station = {"station_id": station_of(operation).id} if operation is not None else {}
    return act(happened_at=when, recorded_at=when, **station, **more)


def listed(session, now):
    session.rollback()
    return [(each.operation.number, each.pieces, each.about) for each in forgotten(session, now)]


def reasons(session, now):
    return [each.why for each in forgotten(session, now)]


def opened(session, lot, when):
    first = lot.operations[0]
    begin(session, then(when, first), [first.id])
    return first


@pytest.mark.parametrize(
    ("open_for", "is_listed"), [(timedelta(hours=4, minutes=30), False), (timedelta(hours=4, minutes=31), True)]
)
def test_a_job_is_listed_after_three_times_its_planned_time(session, lot, open_for, is_listed):
    opened(session, lot, moment(6, "08:00"))
    found = listed(session, moment(6, "08:00") + open_for)
    assert found == ([(10, 30, moment(6, "09:30"))] if is_listed else [])


def test_only_open_hours_count(session, lot):
    """Begun at 17:00 it has an hour until the station closes: planned until 06:30 of the next day."""
    opened(session, lot, moment(6, "17:00"))
    assert listed(session, moment(7, "09:29")) == []
    assert listed(session, moment(7, "09:31")) == [(10, 30, moment(7, "06:30"))]


def test_a_closed_day_does_not_count_and_overtime_does(session, lot):
    first = opened(session, lot, moment(6, "17:00"))
    ClosureFactory(day=moment(7, "12:00").date())
    assert listed(session, moment(7, "20:00")) == []
    over = {"starts_at": moment(6, "18:00"), "ends_at": moment(6, "23:00")}
    OvertimeFactory(station=station_of(first), **over)
    assert listed(session, moment(6, "22:00")) == [(10, 30, moment(6, "18:30"))]


def test_a_job_that_should_have_been_done_before_a_closed_night_is_listed_in_the_morning(session, lot):
    opened(session, lot, moment(6, "16:00"))
    assert listed(session, moment(6, "21:00")) == []
    assert listed(session, moment(7, "05:00")) == [(10, 30, moment(6, "17:30"))]
    assert "over a closed night" in reasons(session, moment(7, "05:00"))[0]


def test_long_work_goes_on_over_a_night_unsuspected(session):
    lot = make_lot(session, pieces=300, when=RELEASED)
    opened(session, lot, moment(6, "15:00"))
    assert listed(session, moment(7, "10:00")) == []


def test_pieces_that_were_sent_ahead_count_as_work_too(session):
    lot = make_lot(session, pieces=300, when=RELEASED)
    first = opened(session, lot, moment(6, "06:00"))
    send_ahead(session, then(moment(6, "15:00"), first), first.id, 290)
    assert listed(session, moment(6, "17:00")) == []


def test_a_paused_job_and_a_lot_on_hold_are_not_forgotten(session, lot):
    first = opened(session, lot, moment(5, "08:00"))
    pause(session, then(moment(5, "08:10"), first), first.id)
    assert listed(session, moment(7, "12:00")) == []
    other = make_lot(session, when=RELEASED)
    opened(session, other, moment(5, "08:00"))
    hold_lot(session, act(), other.id, "crack?")
    assert listed(session, moment(7, "12:00")) == []


def test_a_job_at_a_station_that_is_not_in_use_is_forgotten(session, lot):
    first = opened(session, lot, moment(6, "08:00"))
    station_of(first).active = False
    session.commit()
    assert listed(session, moment(6, "08:10")) == [(10, 30, moment(6, "08:00"))]


def test_pieces_recorded_late_leave_the_others_suspect_for_three_days(session, lot, now):
    second = lot.operations[1]
    posting = record_earlier(session, then(moment(6, "10:00")), second.id, 20)
    assert listed(session, now) == [(10, 10, moment(6, "10:00"))]
    assert listed(session, moment(9, "10:01")) == []
    undo(session, act(), posting.id)
    assert listed(session, now) == []


def test_pieces_that_wait_while_a_later_operation_is_under_way_are_suspect(session, lot, now):
    first, second, _third = lot.operations
    sign_off(session, then(moment(6, "10:00"), first), [SignOff(first.id, 25)])
    assert listed(session, now) == []
    begin(session, then(now, second), [second.id])
    assert listed(session, now) == [(10, 5, now)]


def test_rework_and_what_a_batch_left_over_are_where_they_should_be(session, now):
    lot = make_lot(session, when=RELEASED)
    first, second, _third = lot.operations
    sign_off(session, then(moment(6, "10:00"), first), [SignOff(first.id, 50)])
    rework_pieces(session, act(), second.id, 5, first.id, "burr")
    begin(session, then(now, second), [second.id])
    batches = make_lot(session, routing=make_routing(taking=Taking.BATCH, load_pieces=40), when=RELEASED)
    first, second, _third = batches.operations
    sign_off(session, then(moment(6, "10:00"), first), [SignOff(first.id, 40)])
    begin(session, then(now, second), [second.id])
    assert listed(session, now) == []


def mended(client, operation, job=True, **typed):
    facts = {"done": "2026-01-06T09:30", "good": "28", "scrap": "2", "reason": "tool broke", "through": operation.id}
    sent = {"station": station_of(operation).id} if job else {}
    sent |= {f"mend-{name}": value for name, value in (facts | typed).items()}
    return client.post(f"/floor/operations/{operation.id}/estimates", data=sent)


def test_it_is_mended_in_one_step_as_an_estimate_by_the_setup_lead(as_setup_lead, session, lot, now):
    first = opened(session, lot, moment(6, "08:00"))
    page = as_setup_lead.get("/review").text
    assert "open at" in page.split('id="forgotten"', 1)[1].split("</section>")[0]
    address = f"/floor/operations/{first.id}/estimates?station={station_of(first).id}"
    assert f'href="{address}"' in page
    form = as_setup_lead.get(address).text
    assert 'value="2026-01-06T09:30"' in form
    assert 'value="30"' in form
    assert mended(as_setup_lead, first).location == "/review#forgotten"
    session.rollback()
    assert whereabouts(lot) == {"10 scrapped": 2, "20 waiting": 28}
    posting = ledger_of(session, lot.id)[-1]
    assert (posting.verb, posting.is_estimate, posting.happened_at) == (Verb.SIGN_OFF, True, moment(6, "09:30"))
    assert (posting.recorded_by_id, posting.recorded_at) == (as_setup_lead.person.id, now)
    assert session.scalars(sa.select(Job)).all() == []
    assert listed(session, now) == []
    assert list(differences(session)) == []


def test_the_times_of_an_estimate_are_left_out_and_the_lot_page_says_so(as_owner, session, lot):
    first = opened(session, lot, moment(6, "08:00"))
    mended(as_owner, first, good="30", scrap="")
    page = as_owner.get(f"/lots/{lot.id}").text
    assert "which its times leave out" in page
    assert "(an estimate)" in page
    row = page.split('<th scope="row">10 Step 1', 1)[1].split("</tr>")[0]
    assert row.count("1\u00a0h 30\u00a0min") == 1  # planned; the estimate would have made the same
    session.rollback()
    undo(session, act(), ledger_of(session, lot.id)[-1].id)
    assert "which its times leave out" not in as_owner.get(f"/lots/{lot.id}").text


def test_what_was_measured_before_an_estimate_stays(as_owner, session, lot):
    first = lot.operations[0]
    begin(session, then(moment(6, "07:30"), first), [first.id], setup=True)
    run(session, then(moment(6, "08:07"), first), first.id)
    mended(as_owner, first)
    row = as_owner.get(f"/lots/{lot.id}").text.split('<th scope="row">10 Step 1', 1)[1].split("</tr>")[0]
    assert "37\u00a0min" in row


def test_pieces_that_are_further_on_are_signed_off_through_the_operations_between(as_owner, session, now):
    lot = make_lot(session, pieces=30, when=RELEASED)
    first, second, third = lot.operations
    record_earlier(session, then(moment(6, "10:00")), third.id, 20)
    form = as_owner.get(f"/floor/operations/{first.id}/estimates").text
    assert f'<option selected value="{second.id}">' in form
    assert mended(as_owner, first, job=False, good="10", scrap="", through=second.id).status_code == 303
    session.rollback()
    assert whereabouts(lot) == {"30 waiting": 30}
    assert [each.is_estimate for each in ledger_of(session, lot.id)] == [False, True, True, False]  # as happened
    assert listed(session, now) == []


@pytest.mark.parametrize(
    ("typed", "field", "message"),
    [
        ({"done": ""}, "done", "Say about when"),
        ({"done": "2026-01-07T09:01"}, "done", "in the future"),
        ({"done": "2026-01-05T07:00"}, "done", "nothing can have been done before"),
        ({"done": "2026-01-06T07:59"}, "good", "by another entry: begin run"),
        ({"good": "29"}, "good", "has 30 at that time"),
        ({"good": "0", "scrap": ""}, "good", "how many pieces came out"),
        ({"reason": ""}, "reason", "Say why"),
    ],
)
def test_an_estimate_that_cannot_be_true_is_refused_beside_its_field(as_owner, session, lot, typed, field, message):
    first = opened(session, lot, moment(6, "08:00"))
    answer = mended(as_owner, first, **typed)
    assert answer.status_code == 422
    assert message in beside(answer.text, f"mend-{field}")
    session.rollback()
    assert whereabouts(lot) == {"10 in_work": 30}


def test_an_estimate_counts_once_and_another_with_its_key_is_refused(as_owner, session, lot):
    first = opened(session, lot, moment(6, "08:00"))
    for _time in range(2):
        assert mended(as_owner, first, key="one key").status_code == 303
    again = mended(as_owner, first, key="one key", good="27")
    assert "already recorded" in again.text
    session.rollback()
    estimates = sa.select(sa.func.count(Posting.id)).where(Posting.is_estimate)
    assert session.scalars(estimates).one() == 1


def test_the_forecast_takes_mended_pieces_from_where_they_are(as_owner, session, now):
    lot = make_ordered_lot(session, pieces=60)
    first, second, third = lot.operations
    record_earlier(session, then(now, third), third.id, 10)
    plan_now(session, now)
    before = forecast_of(session, lot).finish_at
    done = {"done": "2026-01-07T09:00", "scrap": "", "through": second.id}
    assert mended(as_owner, first, job=False, good="50", **done).status_code == 303
    plan_now(session, now)
    assert forecast_of(session, lot).finish_at < before


def test_only_the_office_mends(as_operator, as_inspector, session, lot):
    first = opened(session, lot, moment(6, "08:00"))
    for client in (as_operator, as_inspector):
        assert client.get(f"/floor/operations/{first.id}/estimates").status_code == 403
        assert mended(client, first).status_code == 403
    page = as_operator.get("/review").text
    assert "open at" in page
    assert "Say when it was finished" not in page


@pytest.mark.parametrize("lots", [1, 6])
def test_the_suspects_are_read_in_two_statements_beside_the_stations(session, engine, now, lots):
    for _lot in range(lots):
        opened(session, make_lot(session, when=RELEASED), moment(6, "08:00"))
    session.commit()
    with counted(engine) as statements:
        assert len(forgotten(session, now)) == lots
    assert len(statements) <= 4  # stations, suspects, closed days; and the shop, once in a session
