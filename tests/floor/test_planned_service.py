"""Planned service: defined by the office, announced, overdue, done in one tap; the forecast keeps its time free."""

from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy as sa

from app.lots.services import begin
from app.schedule.models import ServiceForecast
from app.stations.models import PlannedService, Saying, StationChange
from tests.factories.lots import act, station_of
from tests.factories.schedule import plan_now, spans_of
from tests.floor.conftest import refusal, words

GREASE = {"name": "Grease the ways", "every": "7", "unit": "days", "takes": "120", "last_done": "2026-01-02"}


@pytest.fixture
def here(lot):
    return station_of(lot.operations[0])


@pytest.fixture
def plan(session, as_setup_lead, here):
    """Return a function that plans a service of the first operation's station."""

    def make(**facts) -> PlannedService:
        answer = as_setup_lead.post(f"/floor/stations/{here.id}/services", data={**GREASE, **facts})
        assert answer.location == f"/floor/stations/{here.id}/services?office=1"
        session.rollback()
        return session.scalars(sa.select(PlannedService).order_by(PlannedService.id.desc())).first()

    return make


def test_a_service_by_days_is_planned_announced_and_done(session, tablet, plan, as_owner, sam, clock):
    service = plan()
    assert (service.every_days, service.every_hours, service.takes_minutes) == (7, None, 120)
    plan_now(session, clock.now)
    assert "Grease the ways falls due Fri 9 Jan" in words(tablet.get().text)
    assert "soon" in words(as_owner.get("/review").text)
    clock.forward(days=5)
    plan_now(session, clock.now)
    assert "Service overdue Grease the ways was due Fri 9 Jan 00:00." in words(tablet.get().text)
    assert "overdue" in words(as_owner.get("/review").text)
    tablet.sign_on(sam)
    answer = tablet.post(f"/services/{service.id}/done")
    assert answer.location == f"{tablet.home}/services"
    page = words(tablet.get("/services").text)
    assert "Grease the ways is recorded as done." in page
    assert "Mon 12 Jan 09:00: Grease the ways, Sam Okafor" in page
    assert "Service overdue" not in tablet.get().text  # also before the next forecast
    said = session.scalars(sa.select(StationChange)).one()
    assert (said.what, said.person_id) == (Saying.SERVICED, sam.id)


def test_done_counts_once_and_not_before_it_was_last_done(session, tablet, plan, clock):
    service = plan()
    done = f"/services/{service.id}/done"
    clock.forward(hours=2)
    tablet.post(done, key="service-form-1")
    clock.forward(hours=1)
    tablet.post(done, key="service-form-1")
    assert session.get_one(PlannedService, service.id).last_done_at == clock.now - timedelta(hours=1)
    assert "Grease the ways was done" in refusal(tablet.post(done, age=2 * 3600))
    tablet.post("/sign-ons/1/end")
    assert refusal(tablet.post(done)).startswith("Scan your badge first")


def test_by_hours_it_is_due_when_the_station_has_run_so_long(session, tablet, plan, lot, here, now, sam):
    service = plan(every="10", unit="hours", hours_since="4", last_done="2026-01-05")
    begin(session, act(station_id=here.id), [lot.operations[0].id])
    later = now + timedelta(hours=2)
    plan_now(session, later)
    expected = session.get_one(ServiceForecast, service.id)
    # ran 2 h since, 4 h before we counted: 4 h are left; it ran 2 of the 5 hours it was open today: 10 open hours
    assert expected.due_at == datetime(2026, 1, 8, 15, 0, tzinfo=UTC)
    assert expected.is_guess
    assert "every 10 h run; ran 6 h since" in words(tablet.get("/services").text)
    plan_now(session, now + timedelta(hours=7))
    assert "overdue" in words(tablet.get("/services").text)
    tablet.clock.forward(hours=7)
    tablet.sign_on(sam)
    tablet.post(f"/services/{service.id}/done")
    page = words(tablet.get("/services").text)
    assert "ran 0 h since" in page
    assert "Ran 7 h in all" in page


def test_the_forecast_keeps_the_time_of_a_service_free(session, plan, lot, now):
    """A long run from Wednesday 09:00 meets two hours of service on Friday at 06:00, when the station opens."""
    lot.operations[0].cycle_ms = 28 * 60_000
    session.commit()
    plan_now(session, now)
    before = spans_of(session, lot, now)
    plan()
    plan_now(session, now)
    after = spans_of(session, lot, now)
    assert after[0][0] == before[0][0]
    assert after[0][1] == before[0][1] + 120


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"name": ""}, "Say what is done, such as grease the ways."),
        ({"every": "0"}, "Type"),
        ({"takes": ""}, "Type how many minutes it takes."),
        ({"last_done": ""}, "Choose the day it was last done."),
    ],
)
def test_what_cannot_be_planned_is_refused_and_nothing_is_lost(session, as_setup_lead, here, wrong, sentence):
    answer = as_setup_lead.post(f"/floor/stations/{here.id}/services", data={**GREASE, **wrong})
    assert answer.status_code == 422
    assert sentence in answer.text
    assert 'value="120"' in answer.text or "takes" in wrong
    assert session.scalars(sa.select(PlannedService)).all() == []


def test_only_the_office_plans_and_removes(session, as_operator, as_owner, tablet, plan, here):
    service = plan()
    assert as_operator.post(f"/floor/stations/{here.id}/services", data=GREASE).status_code == 403
    remove = f"/floor/stations/{here.id}/services/{service.id}/remove"
    assert as_operator.post(remove).status_code == 403
    assert "Plan a service" not in words(tablet.get("/services").text)
    assert as_owner.post(remove).status_code == 303
    assert "No service of this station is planned." in words(tablet.get("/services").text)
    assert tablet.post(f"/services/{service.id}/done").status_code in {404, 422}
