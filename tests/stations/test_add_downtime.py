"""Downtime of stations: planned, and just now."""

from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy as sa

from app.shared.database import change_number
from app.stations import queries, services
from app.stations.errors import NotDownError, StationNotFoundError
from app.stations.models import Downtime
from tests.factories.stations import DowntimeFactory, ShopFactory, StationFactory

MORNING = {"starts_at": "2030-01-07T08:00", "ends_at": "2030-01-07T12:00", "reason": "spindle"}
CHICAGO_8 = datetime(2030, 1, 7, 14, tzinfo=UTC)
CHICAGO_12 = datetime(2030, 1, 7, 18, tzinfo=UTC)


@pytest.fixture
def mill(session):
    ShopFactory()
    return StationFactory(name="Mill 1")


def stored(session):
    session.rollback()
    return list(session.scalars(sa.select(Downtime).order_by(Downtime.starts_at)))


def test_a_downtime_is_typed_on_the_shops_wall_clock(as_setup_lead, mill, session):
    before = change_number(session)
    response = as_setup_lead.post(f"/stations/{mill.id}/downtimes", data={**MORNING, "end_is_guess": "y"})
    assert (response.status_code, response.location) == (303, f"/stations/{mill.id}")
    (kept,) = stored(session)
    assert (kept.starts_at, kept.ends_at, kept.end_is_guess, kept.reason) == (CHICAGO_8, CHICAGO_12, True, "spindle")
    assert change_number(session) == before + 1


def test_an_overlap_is_refused_beside_the_field_and_nothing_is_stored(as_owner, mill, session):
    DowntimeFactory(station=mill, starts_at=CHICAGO_8, ends_at=CHICAGO_12, reason="first")
    response = as_owner.post(f"/stations/{mill.id}/downtimes", data={**MORNING, "starts_at": "2030-01-07T11:59"})
    assert response.status_code == 422
    assert "Mill 1 is already down until Mon 7 Jan 12:00. Change that one instead." in response.text
    assert 'value="2030-01-07T11:59"' in response.text
    assert [each.reason for each in stored(session)] == ["first"]


def test_a_downtime_may_begin_where_another_ends_or_be_at_another_station(as_owner, mill, session):
    DowntimeFactory(station=mill, starts_at=CHICAGO_8 - timedelta(hours=1), ends_at=CHICAGO_8)
    DowntimeFactory(station=StationFactory(), starts_at=CHICAGO_8, ends_at=CHICAGO_12)
    assert as_owner.post(f"/stations/{mill.id}/downtimes", data=MORNING).status_code == 303
    assert len(stored(session)) == 3


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"starts_at": ""}, "Enter when it went down, or will."),
        ({"ends_at": ""}, "Enter when it is back, or your best guess."),
        ({"ends_at": "2030-01-07T08:00"}, "It has to end after it starts."),
        ({"starts_at": "Monday"}, "Enter a day and a time, such as 2026-02-06 14:30."),
        ({"starts_at": "0030-01-07T08:00"}, "Enter a day between 1970 and 2199"),
        ({"starts_at": "2026-03-08T02:30"}, "The clock skips this time that day: it goes forward to 03:30."),
        ({"reason": "x" * 201}, "Use 200 characters or fewer."),
    ],
)
def test_what_cannot_be_is_refused_beside_the_field_and_nothing_is_stored(as_owner, mill, session, wrong, message):
    response = as_owner.post(f"/stations/{mill.id}/downtimes", data={**MORNING, **wrong})
    assert response.status_code == 422
    assert message in response.text
    assert stored(session) == []


def test_a_time_that_the_clock_passes_twice_is_the_first(as_owner, mill, session):
    """01:30 on 1 November 2026 in Chicago is 06:30 UTC first (daylight time, IANA tz database)."""
    night = {"starts_at": "2026-11-01T01:30", "ends_at": "2026-11-01T02:30"}
    as_owner.post(f"/stations/{mill.id}/downtimes", data=night)
    (kept,) = stored(session)
    assert (kept.starts_at.hour, kept.starts_at.minute) == (6, 30)
    assert kept.ends_at - kept.starts_at == timedelta(hours=2)


def test_a_downtime_is_changed_and_removed(as_setup_lead, mill, session):
    downtime = DowntimeFactory(station=mill, starts_at=CHICAGO_8, ends_at=CHICAGO_12, end_is_guess=True)
    path = f"/stations/{mill.id}/downtimes/{downtime.id}"
    page = as_setup_lead.get(f"{path}/edit").text
    assert 'value="2030-01-07T08:00"' in page
    assert "checked" in page
    assert as_setup_lead.post(path, data={**MORNING, "ends_at": "2030-01-07T10:00"}).status_code == 303
    (kept,) = stored(session)
    assert (kept.ends_at, kept.end_is_guess, kept.reason) == (CHICAGO_8 + timedelta(hours=2), False, "spindle")
    as_setup_lead.post(f"{path}/remove")
    assert stored(session) == []


def test_a_change_that_overlaps_is_refused(as_owner, mill, session):
    DowntimeFactory(station=mill, starts_at=CHICAGO_8, ends_at=CHICAGO_12)
    later = DowntimeFactory(station=mill, starts_at=CHICAGO_12, ends_at=CHICAGO_12 + timedelta(hours=1))
    response = as_owner.post(f"/stations/{mill.id}/downtimes/{later.id}", data=MORNING)
    assert response.status_code == 422
    assert "Mill 1 is already down until Mon 7 Jan 12:00." in response.text
    assert stored(session)[1].starts_at == CHICAGO_12


def test_another_stations_downtime_is_not_found_here(as_owner, mill):
    other = DowntimeFactory(station=StationFactory(), starts_at=CHICAGO_8, ends_at=CHICAGO_12)
    for path in (f"/stations/{mill.id}/downtimes/{other.id}", f"/stations/{mill.id}/downtimes/{other.id}/remove"):
        response = as_owner.post(path, data=MORNING)
        assert response.status_code == 404
        assert "This entry is gone" in response.text


def test_down_now_takes_one_tap_and_guesses_four_hours(as_setup_lead, mill, session, clock):
    assert as_setup_lead.post(f"/stations/{mill.id}/down").status_code == 303
    (kept,) = stored(session)
    assert (kept.starts_at, kept.ends_at, kept.end_is_guess) == (clock.now, clock.now + timedelta(hours=4), True)
    page = as_setup_lead.get(f"/stations/{mill.id}").text
    assert "Down since Wed 7 Jan 09:00" in page
    assert "Back at about Wed 7 Jan 13:00; that is a guess." in page
    assert "until about Wed 7 Jan 13:00" in as_setup_lead.get("/stations").text


def test_a_length_that_is_not_offered_is_refused_and_the_reason_stays(as_owner, mill, session):
    response = as_owner.post(f"/stations/{mill.id}/down", data={"about": "99", "reason": "coolant pump"})
    assert response.status_code == 422
    assert 'value="coolant pump"' in response.text
    assert stored(session) == []


def test_pressing_down_twice_is_once(as_owner, mill, session):
    for _ in range(2):
        assert as_owner.post(f"/stations/{mill.id}/down", data={"about": "1"}).status_code == 303
    assert len(stored(session)) == 1


def test_down_now_ends_where_a_planned_downtime_begins(as_owner, mill, session, clock):
    DowntimeFactory(station=mill, starts_at=clock.now + timedelta(hours=1), ends_at=clock.now + timedelta(hours=2))
    as_owner.post(f"/stations/{mill.id}/down", data={"about": "4"})
    first, second = stored(session)
    assert first.ends_at == second.starts_at


def test_back_now_ends_the_downtime(as_owner, mill, session, clock):
    as_owner.post(f"/stations/{mill.id}/down", data={"about": "4"})
    clock.forward(minutes=20)
    as_owner.post(f"/stations/{mill.id}/back")
    (kept,) = stored(session)
    assert (kept.ends_at, kept.end_is_guess) == (clock.now, False)
    assert as_owner.post(f"/stations/{mill.id}/back").status_code == 303  # somebody pressed it before
    assert "It is not down." in as_owner.get(f"/stations/{mill.id}").text


def test_a_downtime_ended_the_moment_it_began_is_gone(as_owner, mill, session):
    as_owner.post(f"/stations/{mill.id}/down", data={"about": "4"})
    as_owner.post(f"/stations/{mill.id}/back")
    assert stored(session) == []


def test_a_guess_that_has_passed_ends_nothing_until_somebody_says_so(as_owner, mill, session, clock):
    as_owner.post(f"/stations/{mill.id}/down", data={"about": "1"})
    clock.forward(hours=5)
    (kept,) = stored(session)
    assert kept.is_open(clock.now)
    assert kept.expected_end(clock.now) == clock.now + timedelta(hours=1)
    assert queries.downtimes_at(session, clock.now) == queries.down_now(session, kept.station, clock.now) == [kept]
    assert queries.all_stations(session, clock.now)[0].downtimes == [kept]
    assert "nobody has said that it is" in as_owner.get(f"/stations/{mill.id}").text
    as_owner.post(f"/stations/{mill.id}/back")
    assert stored(session)[0].ends_at == clock.now
    assert queries.downtimes_at(session, clock.now) == []


def test_back_now_does_not_run_into_a_later_downtime(session, mill, now):
    guess = DowntimeFactory(
        station=mill, starts_at=now, ends_at=now + timedelta(hours=1), end_is_guess=True, reason="guess"
    )
    later = DowntimeFactory(station=mill, starts_at=now + timedelta(hours=2), ends_at=now + timedelta(hours=9))
    services.back_now(session, mill.id, now + timedelta(hours=3))
    assert guess.ends_at == later.starts_at == now + timedelta(hours=2)
    assert later.ends_at == now + timedelta(hours=3)


def test_a_downtime_can_be_said_to_have_ended_earlier(session, mill, now):
    downtime = DowntimeFactory(station=mill, starts_at=now, ends_at=now + timedelta(hours=4), end_is_guess=True)
    services.end_downtime(session, mill.id, downtime.id, now + timedelta(hours=1))
    assert (downtime.ends_at, downtime.end_is_guess) == (now + timedelta(hours=1), False)


def test_services_refuse_what_is_not_there(session, mill, now):
    with pytest.raises(StationNotFoundError):
        services.down_now(session, 99, now)
    with pytest.raises(NotDownError, match="Mill 1 is not down"):
        services.back_now(session, mill.id, now)


def test_downtimes_now_leave_out_stations_out_of_use_and_what_is_over(session, mill, now):
    hour = timedelta(hours=1)
    DowntimeFactory(station=StationFactory(active=False), starts_at=now - hour, ends_at=now + hour)
    DowntimeFactory(station=mill, starts_at=now - hour, ends_at=now)
    DowntimeFactory(station=mill, starts_at=now + hour, ends_at=now + 2 * hour)
    lasting = DowntimeFactory(station=StationFactory(), starts_at=now, ends_at=now + hour)
    assert queries.downtimes_at(session, now) == [lasting]
