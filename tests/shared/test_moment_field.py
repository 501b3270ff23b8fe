"""Times typed on the shop's wall clock."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from werkzeug.datastructures import MultiDict
from wtforms import Form

from app.shared.moment_field import ClockField, MomentField, typed_moment
from app.shared.words import local, use_zone


@pytest.fixture(autouse=True)
def chicago(app):
    with app.app_context():
        use_zone(ZoneInfo("America/Chicago"))
        yield


class Typed(Form):
    at = MomentField("At")
    clock = ClockField("Clock")


def typed(**fields: str) -> Typed:
    form = Typed(MultiDict(fields))
    form.validate()
    return form


def test_a_moment_is_read_in_the_shops_zone_and_kept_in_utc():
    assert typed_moment("2026-01-07T09:00") == datetime(2026, 1, 7, 15, tzinfo=UTC)
    assert typed_moment(" 2026-07-07 09:00:00 ") == datetime(2026, 7, 7, 14, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "Enter a day and a time"),
        ("tomorrow", "Enter a day and a time, such as 2026-02-06 14:30."),
        ("2026-02-30T10:00", "Enter a day and a time"),
        ("1969-12-31T10:00", "between 1970 and 2199"),
        ("2026-01-07T09:00Z", "without a time zone"),
        ("2026-03-08T02:30", "The clock skips this time that day: it goes forward to 03:30."),
    ],
)
def test_what_is_no_moment_of_the_shop_is_refused_and_stays_typed(text, message):
    form = typed(at=text)
    assert message in str(form.at.errors)
    assert form.at.data is None
    assert f'value="{text}"' in str(form.at())


def test_the_hours_around_both_changes_of_the_clock_in_2026_are_read_as_meant():
    """America/Chicago goes forward on 8 March and back on 1 November 2026 (IANA tz database)."""
    assert typed_moment("2026-03-08T03:00") == datetime(2026, 3, 8, 8, tzinfo=UTC)
    assert typed_moment("2026-11-01T01:30") == datetime(2026, 11, 1, 6, 30, tzinfo=UTC)
    assert typed_moment("2026-11-01T02:00") == datetime(2026, 11, 1, 8, tzinfo=UTC)


def test_a_stored_moment_is_shown_on_the_shops_clock():
    form = Typed(data={"at": datetime(2026, 1, 7, 15, 5, tzinfo=UTC)})
    assert 'value="2026-01-07T09:05"' in str(form.at())


@given(st.integers(0, 2_000_000))
def test_what_is_shown_is_read_back_but_for_the_repeated_hour(minutes):
    moment = datetime(2024, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
    wall = local(moment)
    again = typed_moment(f"{wall:%Y-%m-%dT%H:%M}")
    assert again == moment or (wall.fold == 1 and again == moment - timedelta(hours=1))


@pytest.mark.parametrize(
    ("text", "shown"), [("06:30", "06:30"), ("6:05", "06:05"), ("23:59:00", "23:59"), ("00:00", "00:00")]
)
def test_a_time_of_day_is_read(text, shown):
    assert f"{typed(clock=text).clock.data:%H:%M}" == shown


@pytest.mark.parametrize("text", ["24:00", "12:60", "6", "6 am", "12:30:30", "١٢:٣٠"])
def test_what_is_no_time_of_day_is_refused_and_stays_typed(text):
    form = typed(clock=text)
    assert form.clock.errors == ["Enter a time of day from 00:00 to 23:59, such as 06:30."]
    assert f'value="{text}"' in str(form.clock())


def test_no_time_of_day_is_none():
    form = typed(clock="")
    assert form.clock.data is None
    assert not form.clock.errors
