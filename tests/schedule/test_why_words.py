"""The short reasons of a lot's date, from the chain as it is stored."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.planning.results import Cause
from app.schedule.models import LotForecast, Outlook
from app.schedule.queries.whys import chain_words, why

HOUR = 3600
FINISH = datetime(2026, 1, 14, 9, tzinfo=UTC)


def wait(cause: Cause, hours: int, **more):
    return {"cause": cause.value, "seconds": hours * HOUR, "operation": "20", "station": "Mill 2", **more}


@pytest.mark.parametrize(
    ("waits", "sentences"),
    [
        ([wait(Cause.SERVICE, 3)], ["Mill 2 has its planned service for 3\u00a0h"]),
        ([wait(Cause.DOWN, 3, guess=True)], ["Mill 2 is down for 3\u00a0h (its end is a guess)"]),
        (
            [wait(Cause.BUSY, 3, behind=[["", 3 * HOUR]])],
            ["Behind its own earlier pieces (3\u00a0h) at Mill 2 for 3\u00a0h"],
        ),
        (
            [wait(Cause.BUSY, 1, behind=[["L00136V", HOUR]]), wait(Cause.BUSY, 2, behind=[["", 2 * HOUR]])],
            ["Behind its own earlier pieces (2\u00a0h), L00136V (1\u00a0h) at Mill 2 for 3\u00a0h"],
        ),
        ([wait(Cause.RUNNING, 5), wait(Cause.CLOSED, 9), wait(Cause.SETUP, 2)], []),
        ([wait(Cause.NO_PERSON, 0)], []),
    ],
)
def test_each_stations_waits_are_one_sentence_and_work_is_none(app, waits, sentences):
    with app.app_context():
        assert why(LotForecast(outlook=Outlook.EXPECTED, waits=waits)) == sentences


def test_every_cause_has_a_sentence_in_the_chain(app):
    causes = [cause for cause in Cause if cause is not Cause.COMPONENTS]  # it names the component and its promise
    with app.app_context():
        said = chain_words([wait(cause, 1) for cause in causes], FINISH)
    assert [each.minutes for each in said] == [60] * len(causes)
    assert all(each.sentence for each in said)


@given(st.lists(st.integers(0, 10_000_000), min_size=1), st.integers(0, 59))
def test_the_minutes_that_are_shown_of_a_chain_lie_between_the_times_that_are_shown(lengths, second):
    finish = FINISH + timedelta(seconds=second)
    said = chain_words([{**wait(Cause.RELEASE, 0), "seconds": each} for each in lengths], finish)
    begun = finish - timedelta(seconds=sum(lengths))
    clock = [each.replace(second=0) for each in (begun, finish)]  # as a page shows them
    assert timedelta(minutes=sum(each.minutes for each in said)) == clock[1] - clock[0]
    assert all(abs(60 * shown.minutes - real) < 60 for shown, real in zip(said, lengths, strict=True))
