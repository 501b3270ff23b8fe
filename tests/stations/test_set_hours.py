"""The weekly hours of stations."""

from datetime import time, timedelta

import pytest
import sqlalchemy as sa
from hypothesis import given
from hypothesis import strategies as st

from app.shared.database import change_number
from app.stations.errors import ShiftOverlapError
from app.stations.models import Shift, shift_seconds
from app.stations.services import NewShift, set_hours
from app.stations.services.hours import refuse_overlap
from tests.factories.stations import ShopFactory, StationFactory

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
WEEK = 7 * 86_400


def typed(*shifts: tuple[int, int, str, str], **more: str) -> dict[str, str]:
    """Return the form with shifts given as day, place in the day, from, to."""
    fields = {}
    for day, place, starts, ends in shifts:
        fields[f"{WEEKDAYS[day]}-shifts-{place}-starts"] = starts
        fields[f"{WEEKDAYS[day]}-shifts-{place}-ends"] = ends
    return fields | more


def week_of(session, station_id):
    session.rollback()
    rows = session.scalars(sa.select(Shift).where(Shift.station_id == station_id).order_by(Shift.weekday, Shift.starts))
    return [f"{row.weekday} {row.starts:%H:%M}-{row.ends:%H:%M}" for row in rows]


@pytest.fixture
def mill(session):
    ShopFactory()
    return StationFactory(name="Mill 1")


def test_a_week_with_several_shifts_a_day_and_one_over_midnight_is_stored(as_setup_lead, mill, session):
    before = change_number(session)
    week = typed((0, 0, "06:00", "14:00"), (0, 1, "14:00", "22:00"), (4, 0, "22:00", "06:00"))
    response = as_setup_lead.post(f"/stations/{mill.id}/hours", data=week)
    assert (response.status_code, response.location) == (303, f"/stations/{mill.id}")
    assert week_of(session, mill.id) == ["0 06:00-14:00", "0 14:00-22:00", "4 22:00-06:00"]
    assert change_number(session) == before + 1


def test_what_is_stored_is_shown(as_setup_lead, mill):
    page = as_setup_lead.get(f"/stations/{mill.id}/hours").text
    assert page.count('value="06:00"') == page.count('value="18:00"') == 5
    assert "60 h" in as_setup_lead.get("/stations").text


def test_four_shifts_a_day_are_shown_and_kept(as_owner, mill, session):
    four = [NewShift(2, time(hour), time(hour + 1)) for hour in (6, 8, 10, 12)]
    set_hours(session, [mill.id], four)
    page = as_owner.get(f"/stations/{mill.id}/hours").text
    assert 'name="wednesday-shifts-3-starts"' in page
    again = [(2, at, f"{shift.starts:%H:%M}", f"{shift.ends:%H:%M}") for at, shift in enumerate(four)]
    as_owner.post(f"/stations/{mill.id}/hours", data=typed(*again))
    assert len(week_of(session, mill.id)) == 4


@pytest.mark.parametrize(
    ("shifts", "message"),
    [
        ([(0, 0, "06:00", "14:00"), (0, 1, "13:59", "20:00")], "This overlaps the shift Mon 06:00–14:00."),
        ([(0, 0, "22:00", "06:00"), (1, 0, "05:00", "12:00")], "This overlaps the shift Mon 22:00–06:00."),
        ([(0, 0, "05:00", "12:00"), (6, 0, "22:00", "06:00")], "This overlaps the shift Mon 05:00–12:00."),
        ([(3, 0, "06:00", "14:00"), (3, 1, "06:00", "14:00")], "This overlaps the shift Thu 06:00–14:00."),
        ([(5, 0, "00:00", "00:00"), (5, 1, "10:00", "11:00")], "This overlaps the shift Sat 00:00–00:00."),
        ([(0, 0, "06:00", "")], "Enter both times, or neither."),
        ([(0, 0, "", "06:00")], "Enter both times, or neither."),
        ([(0, 0, "6 am", "14:00")], "Enter a time of day from 00:00 to 23:59, such as 06:30."),
        ([(0, 0, "24:00", "06:00")], "Enter a time of day from 00:00 to 23:59, such as 06:30."),
    ],
)
def test_what_cannot_be_is_refused_beside_the_shift_and_nothing_is_stored(as_owner, mill, session, shifts, message):
    before = week_of(session, mill.id)
    response = as_owner.post(f"/stations/{mill.id}/hours", data=typed(*shifts))
    assert response.status_code == 422
    assert response.text.count(message) == 1
    assert week_of(session, mill.id) == before
    for _day, _place, starts, _ends in shifts:
        assert f'value="{starts}"' in response.text


def test_the_message_stands_beside_the_later_of_the_two(as_owner, mill):
    night_and_day = typed((0, 0, "22:00", "06:00"), (1, 0, "05:00", "12:00"))
    page = as_owner.post(f"/stations/{mill.id}/hours", data=night_and_day).text
    before, after = 'id="tuesday-shifts-0-errors"', 'id="tuesday-shifts-1-errors"'
    assert page.index(before) < page.index("This overlaps") < page.index(after)


def test_shifts_that_follow_each_other_round_the_clock_are_no_overlap(as_owner, mill, session):
    nonstop = typed(*((day, 0, "06:00", "06:00") for day in range(7)))
    assert as_owner.post(f"/stations/{mill.id}/hours", data=nonstop).status_code == 303
    assert len(week_of(session, mill.id)) == 7


def test_tuesday_to_friday_may_be_like_monday(as_owner, mill, session):
    week = typed((0, 0, "07:00", "15:30"), (2, 0, "01:00", "02:00"), (5, 0, "07:00", "11:00"), like_monday="y")
    as_owner.post(f"/stations/{mill.id}/hours", data=week)
    assert week_of(session, mill.id) == [*(f"{day} 07:00-15:30" for day in range(5)), "5 07:00-11:00"]


def test_an_overlap_behind_like_monday_is_said_once_beside_monday(as_owner, mill):
    week = typed((0, 0, "07:00", "15:30"), (0, 1, "15:00", "16:00"), like_monday="y")
    page = as_owner.post(f"/stations/{mill.id}/hours", data=week).text
    assert page.count("This overlaps the shift Mon 07:00–15:30.") == 1


def test_an_empty_week_means_never_open(as_owner, mill, session):
    as_owner.post(f"/stations/{mill.id}/hours", data={})
    assert week_of(session, mill.id) == []
    assert "No hours yet" in as_owner.get(f"/stations/{mill.id}").text


def test_one_step_sets_the_hours_of_the_whole_work_center(as_owner, mill, session):
    twin = StationFactory(work_center=mill.work_center)
    retired = StationFactory(work_center=mill.work_center, active=False)
    elsewhere = StationFactory()
    as_owner.post(f"/stations/{mill.id}/hours", data=typed((0, 0, "07:00", "15:30"), everywhere="y"))
    assert week_of(session, mill.id) == week_of(session, twin.id) == ["0 07:00-15:30"]
    assert len(week_of(session, retired.id)) == len(week_of(session, elsewhere.id)) == 5


def test_hours_are_copied_from_another_station_in_one_step(as_owner, mill, session):
    source = StationFactory(shifts=[Shift(weekday=6, starts=time(1), ends=time(2))])
    twin = StationFactory(work_center=mill.work_center)
    path = f"/stations/{mill.id}/hours/copy"
    assert as_owner.post(path, data={"source": source.id}).location == f"/stations/{mill.id}"
    assert week_of(session, mill.id) == ["6 01:00-02:00"]
    assert len(week_of(session, twin.id)) == 5
    as_owner.post(path, data={"source": source.id, "everywhere": "y"})
    assert week_of(session, twin.id) == week_of(session, source.id) == ["6 01:00-02:00"]


def test_copying_within_a_work_center_keeps_the_source(as_owner, mill, session):
    source = StationFactory(work_center=mill.work_center, shifts=[Shift(weekday=6, starts=time(1), ends=time(2))])
    as_owner.post(f"/stations/{mill.id}/hours/copy", data={"source": source.id, "everywhere": "y"})
    assert week_of(session, source.id) == week_of(session, mill.id) == ["6 01:00-02:00"]


def test_copying_from_nowhere_is_refused(as_owner, mill, session):
    StationFactory()
    response = as_owner.post(f"/stations/{mill.id}/hours/copy", data={"source": ""})
    assert response.status_code == 422
    assert "Choose a station." in response.text
    assert len(week_of(session, mill.id)) == 5


times = st.times().map(lambda at: at.replace(microsecond=0))
shifts = st.builds(NewShift, st.integers(0, 6), times, times)


@given(st.lists(shifts, max_size=6))
def test_overlaps_are_found_exactly_as_a_count_of_each_second_would(week):
    """Count how often each boundary second of the week is open: no overlap means never twice."""
    edges = sorted({edge % WEEK for shift in week for edge in shift.span})
    spans = [(start + turn, end + turn) for start, end in (shift.span for shift in week) for turn in (-WEEK, 0)]
    most = max((sum(start <= edge < end for start, end in spans) for edge in edges), default=0)
    if most <= 1:
        refuse_overlap(week)
        return
    with pytest.raises(ShiftOverlapError) as refusal:
        refuse_overlap(week)
    assert 0 < refusal.value.place < len(week)


@given(times, times)
def test_a_shift_lasts_over_zero_and_at_most_a_day(starts, ends):
    seconds = shift_seconds(starts, ends)
    assert 0 < seconds <= 86_400
    day = timedelta(days=1)
    as_delta = [timedelta(hours=at.hour, minutes=at.minute, seconds=at.second) for at in (starts, ends)]
    assert (as_delta[0] + timedelta(seconds=seconds) - as_delta[1]) % day == timedelta(0)
