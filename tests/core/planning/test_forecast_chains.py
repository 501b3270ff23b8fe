from dataclasses import replace

import pytest

from app.core.calendar_hours import Downtime
from app.core.planning.forecasts import forecast
from app.core.planning.results import Cause
from app.core.shop import Arrival, Batch, Crew, LeadTime, NotBefore, OverClosed, Purchase
from tests.core.shops import (
    DAY,
    HOUR,
    MINUTE,
    MONDAY,
    at,
    calendar,
    lot,
    operation,
    round_the_clock,
    shop,
    single,
    station,
    told,
)

DAY_SHIFTS = calendar(("06:00", "14:00"))
FRIDAY = MONDAY + 4 * DAY


def test_every_stretch_between_now_and_the_finish_has_its_reason():
    """Monday 6:00. Blanks come at 8:00, X has the mill till 10:00, set-up takes 1 h, the work 6 h, half on Tuesday.

    Then it is outside from 9:00 for three days. On Friday a bracket is missing till 12:00, the bench down till 13:00.
    """
    bench = calendar(("06:00", "14:00"), downtimes=(Downtime(FRIDAY + 8 * HOUR, FRIDAY + 13 * HOUR, guess=True),))
    subject = lot(
        "L",
        operation("5", Purchase((Arrival(at(480), 60, guess=True),)), "", waiting=60),
        operation("10", single(6), setup=60),
        operation("20", LeadTime(3), ""),
        operation("30", single(1), "bench", not_before=NotBefore(FRIDAY + 12 * HOUR, "bracket", guess=True)),
    )
    rival = lot("X", operation("10", single(240), waiting=1), due=1)
    stations = [station("mill", calendar=DAY_SHIFTS), station("bench", "bench", calendar=bench)]
    planned = forecast(shop(stations, subject, rival, now=at(360), receiving=DAY_SHIFTS)).lots["L"]
    assert told(planned.chain) == [
        ("waiting for blanks", "5", 120),
        ("station busy", "10", 120),
        ("set-up", "10", 60),
        ("running", "10", 360),
        ("closed", "10", 16 * 60),
        ("outside", "20", 3 * 24 * 60),
        ("waiting for components", "30", 180),
        ("down", "30", 60),
        ("running", "30", 60),
    ]
    assert planned.chain[1].behind == (("X", 120 * MINUTE),)
    assert [reason.cause for reason in planned.chain if reason.guess] == [Cause.BLANKS, Cause.COMPONENTS, Cause.DOWN]
    assert planned.chain[6].what == "bracket"


def test_what_runs_on_after_the_next_operation_could_start_is_not_waited_for():
    steps = operation("10", single(2), waiting=10, send_ahead=5), operation("20", single(6), "bench")
    planned = forecast(shop([station("mill"), station("bench", "bench")], lot("L", *steps))).lots["L"]
    assert told(planned.chain) == [("running", "10", 10), ("running", "20", 60)]


def test_lots_ahead_are_named_in_order_with_their_time_from_when_it_began_to_wait():
    others = [lot(key, operation("10", single(30), waiting=1), due=due) for due, key in enumerate("ab")]
    subject = lot("L", operation("5", single(10), "bench", waiting=1), operation("10", single(1)))
    planned = forecast(shop([station("mill"), station("bench", "bench")], *others, subject)).lots["L"]
    assert planned.chain[1].behind == (("a", 20 * MINUTE), ("b", 30 * MINUTE))
    assert planned.chain[1].station == "mill"


def test_a_long_queue_is_named_by_its_last_twenty_lots():
    others = [lot(f"{number:02}", operation("10", single(1), waiting=1), due=1) for number in range(30)]
    reason = (
        forecast(shop([station("mill")], *others, lot("L", operation("10", single(1), waiting=1)))).lots["L"].chain[0]
    )
    assert reason.seconds == 30 * MINUTE
    assert [key for key, _ in reason.behind] == [f"{number:02}" for number in range(10, 30)]


def test_a_shared_batch_ahead_counts_once():
    def taking(recipe):
        return Batch(recipe, 600_000, max_pieces=9)

    ahead = [lot(key, operation("10", taking("deburr"), waiting=1), due=1) for key in "ab"]
    planned = forecast(shop([station("mill")], *ahead, lot("L", operation("10", taking("polish"), waiting=1)))).lots[
        "L"
    ]
    assert planned.chain[0].behind == (("a", 10 * MINUTE),)
    assert planned.chain[0].seconds == 10 * MINUTE


def test_work_that_must_fit_waits_for_a_stretch_that_holds_it():
    """Open 6:00 to 14:00; from 8:01 on eight hours less two do not hold what is left of six hours."""
    must_fit = station("mill", calendar=DAY_SHIFTS, over_closed=OverClosed.FIT)
    lots = [lot("X", operation("10", single(180), waiting=1), due=1), lot("L", operation("10", single(360), waiting=1))]
    planned = forecast(shop([must_fit], *lots, now=at(360))).lots["L"]
    assert told(planned.chain) == [
        ("station busy", "10", 180),
        ("must fit", "10", 300),
        ("closed", "10", 16 * 60),
        ("running", "10", 360),
    ]


def test_work_for_which_nobody_is_free_says_so():
    """One person sets up and tends; each run holds a whole one, so the second station stands still for half an hour."""
    lots = [
        lot("X", operation("10", single(30), waiting=1, tend_permille=1000), due=1),
        lot("L", operation("10", single(10), "lathe", waiting=1, tend_permille=1000)),
    ]
    alone = replace(shop([station("mill"), station("lathe", "lathe")], *lots), people=(Crew(DAY_SHIFTS, 1, 1),))
    planned = forecast(replace(alone, now=at(13 * 60 + 45))).lots["L"]
    assert told(planned.chain) == [
        ("no person", "10", 30),  # X has the one person
        ("no person", "10", 16 * 60),  # nobody is there
        ("running", "10", 10),
    ]


def test_what_goes_on_alone_after_the_people_left_is_running_and_the_rest_of_the_night_closed():
    alone = station("mill", calendar=DAY_SHIFTS, over_closed=OverClosed.UNATTENDED, unattended_s=2 * HOUR)
    planned = forecast(shop([alone], lot("L", operation("10", single(60), waiting=12)), now=at(360))).lots["L"]
    assert told(planned.chain) == [("running", "10", 720), ("closed", "10", 14 * 60)]


def test_a_lot_that_may_not_begin_yet_says_so():
    later = lot("L", operation("10", single(10), waiting=1), released=at(30))
    assert told(forecast(shop([station("mill")], later)).lots["L"].chain) == [
        ("not released", "10", 30),
        ("running", "10", 10),
    ]


BATCH = Batch("fine", 60 * 60_000, 100, wait_s=30 * 60)
BOWL = station("bowl", "tumbling")


def test_a_batch_that_waits_for_others_says_so():
    early = lot("early", operation("10", BATCH, "tumbling", waiting=5), due=at(60))
    late = lot("late", operation("10", single(20), waiting=1), operation("20", BATCH, "tumbling"), due=at(90))
    planned = forecast(shop([station("mill"), BOWL], early, late)).lots
    assert told(planned["early"].chain) == [("waiting for others of its batch", "10", 20), ("running", "10", 60)]


@pytest.mark.parametrize("crews", [None, (Crew(round_the_clock(), 1, 1),)], ids=["no crews", "a crew"])
@pytest.mark.parametrize("taking", [Batch("temper", 3_600_000), single(60)], ids=["another recipe", "no batch"])
def test_what_waits_while_a_station_waits_for_others_of_a_batch_waits_for_them_too(crews, taking):
    """The oven is kept for the late lot until 0:20 and then busy for an hour; nobody is missing."""
    baking = Batch("bake", 3_600_000, wait_s=1800)
    early = lot("early", operation("10", baking, "oven", waiting=5), rush=True)
    late = lot("late", operation("5", single(20), waiting=1), operation("10", baking, "oven"))
    other = lot("other", operation("10", taking, "oven", waiting=1))
    problem = shop([station("oven", "oven"), station("mill")], early, late, other)
    found = forecast(replace(problem, people=crews)).lots["other"].chain
    assert told(found) == [
        ("station busy", "10", 60),
        ("waiting for others of its batch", "10", 20),
        ("running", "10", 60),
    ]
    assert found[0].behind == (("early", HOUR),)


def test_a_batch_of_one_lot_that_people_kept_waiting_does_not_say_that_it_waited_for_others():
    alone = lot("alone", operation("10", BATCH, "tumbling", waiting=5, tend_permille=1000), due=at(600))
    first = lot("first", operation("10", single(25), waiting=1, tend_permille=1000), due=at(30))
    crewed = replace(shop([station("mill"), BOWL], alone, first), people=(Crew(round_the_clock(), 0, 1),))
    assert told(forecast(crewed).lots["alone"].chain) == [("no person", "10", 25), ("running", "10", 60)]
