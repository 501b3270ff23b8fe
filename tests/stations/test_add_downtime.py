"""Downtime of stations: planned, and just now."""

from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy as sa

from app.shared.database import change_number
from app.stations import queries, services
from app.stations.errors import (
    AlreadyDownError,
    GuessPassedError,
    NotDownError,
    SaidOtherwiseError,
    StationNotFoundError,
)
from app.stations.models import Downtime, Saying, StationChange
from app.stations.queries import Guess
from app.stations.services import Said
from tests.factories.people import PersonFactory
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
    assert "Mill 1 is already down until Mon 7 Jan 2030 12:00. Change that one instead." in response.text
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
        ({"ends_at": "2033-01-07T08:00"}, "If it will not be back, take it out of use."),
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
    assert "Mill 1 is already down until Mon 7 Jan 2030 12:00." in response.text
    assert stored(session)[1].starts_at == CHICAGO_12


def test_another_stations_downtime_is_not_found_here(as_owner, mill):
    other = DowntimeFactory(station=StationFactory(), starts_at=CHICAGO_8, ends_at=CHICAGO_12)
    for path in (f"/stations/{mill.id}/downtimes/{other.id}", f"/stations/{mill.id}/downtimes/{other.id}/remove"):
        response = as_owner.post(path, data=MORNING)
        assert response.status_code == 404
        assert "This entry is gone" in response.text


def said(now, key="key-1", **more):
    return Said(key, now, now, **more)


def hour_from(now, hours=1):
    return Guess("1h", now + timedelta(hours=hours))


def test_down_now_keeps_who_said_it_and_the_guess(session, mill, now):
    sam = PersonFactory()
    assert services.down_now(session, mill.id, said(now, person_id=sam.id), hour_from(now), "coolant pump")
    (kept,) = stored(session)
    assert (kept.starts_at, kept.ends_at, kept.end_is_guess) == (now, now + timedelta(hours=1), True)
    change = session.scalars(sa.select(StationChange)).one()
    assert (change.what, change.person_id, change.reason) == (Saying.DOWN, sam.id, "coolant pump")


def test_the_same_form_counts_once_and_its_key_says_nothing_else(session, mill, now):
    assert services.down_now(session, mill.id, said(now), hour_from(now))
    assert not services.down_now(session, mill.id, said(now), hour_from(now))
    services.back_now(session, mill.id, said(now + timedelta(hours=1), "key-2"))
    assert not services.down_now(session, mill.id, said(now), hour_from(now))  # sent once more, long after
    assert queries.down_now(session, mill, now + timedelta(hours=2)) == []
    with pytest.raises(SaidOtherwiseError, match="already recorded: down"):
        services.down_now(session, mill.id, said(now), hour_from(now), "another reason")


def test_down_now_ends_where_a_planned_downtime_begins(session, mill, now):
    DowntimeFactory(station=mill, starts_at=now + timedelta(hours=1), ends_at=now + timedelta(hours=2))
    services.down_now(session, mill.id, said(now), hour_from(now, 4))
    first, second = stored(session)
    assert first.ends_at == second.starts_at


def test_a_guess_in_the_past_is_refused(session, mill, now):
    with pytest.raises(GuessPassedError):
        services.down_now(session, mill.id, said(now), Guess("typed", now))
    services.down_now(session, mill.id, said(now), hour_from(now))
    with pytest.raises(GuessPassedError):
        services.guess_again(session, mill.id, said(now, "key-2"), Guess("typed", now - timedelta(minutes=1)))


def test_another_guess_moves_the_end_but_not_past_a_planned_downtime(session, mill, now):
    services.down_now(session, mill.id, said(now), hour_from(now))
    services.guess_again(session, mill.id, said(now, "key-2"), hour_from(now, 3))
    assert stored(session)[0].ends_at == now + timedelta(hours=3)
    DowntimeFactory(station=mill, starts_at=now + timedelta(hours=5), ends_at=now + timedelta(hours=6))
    services.guess_again(session, mill.id, said(now, "key-3"), hour_from(now, 9))
    assert stored(session)[0].ends_at == now + timedelta(hours=5)


def test_back_now_ends_the_downtime(session, mill, now):
    services.down_now(session, mill.id, said(now), hour_from(now))
    services.back_now(session, mill.id, said(now + timedelta(minutes=20), "key-2"))
    (kept,) = stored(session)
    assert (kept.ends_at, kept.end_is_guess) == (now + timedelta(minutes=20), False)


def test_a_downtime_ended_the_moment_it_began_is_gone(session, mill, now):
    services.down_now(session, mill.id, said(now), hour_from(now))
    services.back_now(session, mill.id, said(now, "key-2"))
    assert stored(session) == []


def test_a_guess_that_has_passed_ends_nothing_until_somebody_says_so(as_owner, mill, session, clock):
    services.down_now(session, mill.id, said(clock.now), hour_from(clock.now))
    clock.forward(hours=5)
    (kept,) = stored(session)
    assert kept.is_open(clock.now)
    assert kept.guess_passed(clock.now)
    assert kept.expected_end(clock.now) == clock.now + timedelta(hours=1)
    assert queries.downtimes_at(session, clock.now) == queries.down_now(session, kept.station, clock.now) == [kept]
    assert queries.all_stations(session, clock.now)[0].downtimes == [kept]
    assert "nobody has said that it is" in as_owner.get(f"/stations/{mill.id}").text
    services.back_now(session, mill.id, said(clock.now, "key-2"))
    assert stored(session)[0].ends_at == clock.now
    assert queries.downtimes_at(session, clock.now) == []


def test_back_now_does_not_run_into_a_later_downtime(session, mill, now):
    guess = DowntimeFactory(
        station=mill, starts_at=now, ends_at=now + timedelta(hours=1), end_is_guess=True, reason="guess"
    )
    later = DowntimeFactory(station=mill, starts_at=now + timedelta(hours=2), ends_at=now + timedelta(hours=9))
    services.back_now(session, mill.id, said(now + timedelta(hours=3)))
    assert guess.ends_at == later.starts_at == now + timedelta(hours=2)
    assert later.ends_at == now + timedelta(hours=3)


def test_services_refuse_what_is_not_there(session, mill, now):
    with pytest.raises(StationNotFoundError):
        services.down_now(session, 99, said(now), hour_from(now))
    with pytest.raises(NotDownError, match="Mill 1 is not down"):
        services.back_now(session, mill.id, said(now))
    with pytest.raises(NotDownError, match="Mill 1 is not down"):
        services.guess_again(session, mill.id, said(now), hour_from(now))
    services.down_now(session, mill.id, said(now), hour_from(now))
    with pytest.raises(AlreadyDownError, match="Mill 1 is down since"):
        services.down_now(session, mill.id, said(now, "key-2"), hour_from(now))


def test_the_quick_guesses_come_from_the_stations_shifts(session, mill, now):
    """The factory's shifts are 06:00 to 18:00 on weekdays; it is Wednesday 09:00 in Chicago (15:00 UTC)."""
    guesses = {each.key: each.until for each in queries.quick_guesses(session, mill, now)}
    assert guesses == {
        "1h": now + timedelta(hours=1),
        "shift": datetime(2026, 1, 8, 0, 0, tzinfo=UTC),
        "morning": datetime(2026, 1, 8, 12, 0, tzinfo=UTC),
    }
    friday_night = datetime(2026, 1, 10, 3, 0, tzinfo=UTC)
    guesses = {each.key: each.until for each in queries.quick_guesses(session, mill, friday_night)}
    assert guesses == {"1h": friday_night + timedelta(hours=1), "morning": datetime(2026, 1, 12, 12, 0, tzinfo=UTC)}


def test_downtimes_now_leave_out_stations_out_of_use_and_what_is_over(session, mill, now):
    hour = timedelta(hours=1)
    DowntimeFactory(station=StationFactory(active=False), starts_at=now - hour, ends_at=now + hour)
    DowntimeFactory(station=mill, starts_at=now - hour, ends_at=now)
    DowntimeFactory(station=mill, starts_at=now + hour, ends_at=now + 2 * hour)
    lasting = DowntimeFactory(station=StationFactory(), starts_at=now, ends_at=now + hour)
    assert queries.downtimes_at(session, now) == [lasting]
