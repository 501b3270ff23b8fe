from bisect import insort
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from app.core.plan_check import Rule
from app.core.planning.forecasts import forecast
from app.core.planning.obstacles import Obstacle, ObstacleKind, Status
from app.core.planning.result_file import PlannedLot, PlannedRun
from app.core.promise import Busy, busy_stretches, promise
from app.core.shop import Arrival, Batch, LeadTime, OpenJob, OverClosed, Purchase
from tests.core.plan_check.plans import broken, summed_up
from tests.core.planning.generated import lots, shops
from tests.core.reckoning import open_seconds
from tests.core.shops import DAY, HOUR, at, calendar, lot, minutes, operation, shop, single, station, times, told

MILL = station("mill")


def work(key, length, *, start=0, family="", setup=0, center="mill", **more):
    """Return a lot of one piece that reaches its operation after ``start`` minutes outside."""
    blanks = operation("5", Purchase((Arrival(at(start), 1),)), "", waiting=1)
    return lot(key, blanks, operation("10", single(length), center, family=family, setup=setup), **more)


def promised(the_shop, new):
    return promise(the_shop, busy_stretches(the_shop, forecast(the_shop)), new)


def test_an_empty_shop_does_it_at_once():
    answer = promised(shop([MILL]), work("new", 30))
    assert (minutes(answer.lot.finish), answer.held_up_by) == (30, None)


def test_it_goes_into_the_first_gap_that_is_long_enough():
    planned = shop([MILL], work("a", 30), work("b", 30, start=40), work("c", 30, start=100))
    assert times(promised(planned, work("new", 10)).lot, "10") == [(30, 40)]
    assert times(promised(planned, work("new", 11)).lot, "10") == [(70, 81)]
    assert times(promised(planned, work("new", 31)).lot, "10") == [(130, 161)]


def test_what_would_go_on_unattended_is_promised_for_attended_hours_so_never_too_soon():
    day = calendar(("06:00", "14:00"), days=range(7))
    alone = station("mill", calendar=day, over_closed=OverClosed.UNATTENDED, unattended_s=4 * HOUR)
    planned, new = shop([alone], now=at(720)), work("new", 180, start=720)
    assert minutes(forecast(replace(planned, lots=(new,))).lots["new"].finish) == 900
    assert minutes(promised(planned, new).lot.finish) == DAY // 60 + 420


def test_pieces_sent_ahead_are_there_also_for_what_goes_on_unattended():
    """The first comes ten minutes before closing; unattended hours would outrun what comes each hour of the night."""
    day = calendar(("06:00", "14:00"), days=range(7))
    alone = station("mill", calendar=day, over_closed=OverClosed.UNATTENDED, unattended_s=4 * HOUR)
    ahead = operation("10", single(60), "lathe", waiting=8, send_ahead=1)
    planned, new = shop([alone, station("lathe", "lathe")], now=at(770)), lot("new", ahead, operation("20", single(50)))
    whole = replace(planned, lots=(new,))
    assert times(forecast(whole).lots["new"], "20") == [(1440 + 360, 1440 + 760)]
    assert times(promised(planned, new).lot, "20") == [(1440 + 360, 1440 + 760)]


def test_a_gap_before_its_pieces_arrive_is_no_use():
    planned = shop([MILL], work("a", 30), work("b", 30, start=60))
    assert times(promised(planned, work("new", 20, start=45)).lot, "10") == [(90, 110)]
    assert times(promised(planned, work("new", 15, start=45)).lot, "10") == [(45, 60)]


def test_a_gap_must_hold_its_set_up_and_the_one_that_it_spoils():
    planned = shop([MILL], work("a", 30, family="x", setup=20), work("b", 30, start=90, family="x", setup=20))
    assert times(promised(planned, work("new", 20, setup=0)).lot, "10") == [(50, 70)]  # b is set up again from 70 on
    assert times(promised(planned, work("new", 21, setup=0)).lot, "10") == [(120, 141)]
    assert times(promised(planned, work("new", 10, setup=10)).lot, "10") == [(50, 70)]
    assert times(promised(planned, work("new", 40, setup=20, family="x")).lot, "10") == [(50, 90)]


def test_no_set_up_in_a_gap_after_the_same_family():
    planned = shop([station("mill", set_up_for="y")], work("a", 30, start=20, family="x"), work("b", 30, start=90))
    assert times(promised(planned, work("new", 20, family="y", setup=5)).lot, "10") == [(0, 20)]
    assert times(promised(planned, work("new", 40, family="x", setup=5)).lot, "10") == [(50, 90)]


def must_fit_for_x():
    return station("mill", calendar=calendar(("06:00", "14:00")), over_closed=OverClosed.FIT, set_up_for="x")


def test_what_fits_only_without_its_set_up_goes_where_it_needs_none_and_is_told_where_it_always_does():
    bench, whole = must_fit_for_x(), {"family": "x", "setup": 30}
    assert times(promised(shop([bench]), work("new", 480, **whole)).lot, "10") == [(360, 840)]
    planned = shop([bench], work("a", 60, family="y", setup=30))
    told_why = promised(planned, work("new", 480, **whole)).lot
    assert told_why.obstacle == Obstacle(ObstacleKind.SETUP_NEVER_FITS, "10")
    assert times(promised(planned, work("b", 450, **whole)).lot, "10") == [(1800, 2280)]  # set up anew on Tuesday


def test_nothing_goes_before_what_would_not_fit_with_the_set_up_that_it_then_needed():
    planned = shop([must_fit_for_x()], work("a", 470, start=1500, family="x", setup=30))
    assert times(promised(planned, work("new", 60, family="y")).lot, "10") == [(3240, 3300)]
    assert times(promised(planned, work("more", 60, family="x", setup=30)).lot, "10") == [(360, 420)]


def test_closed_hours_between_two_runs_are_no_gap():
    week = calendar(("06:00", "14:00"))
    planned = shop([station("mill", calendar=week)], work("a", 480), work("b", 480))
    answer = promised(planned, work("new", 60))
    assert times(answer.lot, "10") == [((2 * 24 + 6) * 60, (2 * 24 + 7) * 60)]
    assert told(answer.lot.chain) == [
        ("station busy", "10", 960),
        ("closed", "10", 54 * 60 - 960),
        ("running", "10", 60),
    ]


def test_the_station_that_does_it_first_is_taken_and_the_one_waited_for_longest_is_named():
    stations = [station("mill 1"), station("mill 2"), station("bench", "bench")]
    busy = [work("a", 90), work("b", 60), work("c", 200, center="bench")]
    new = lot("new", operation("10", single(20), waiting=1), operation("20", single(5), "bench"))
    answer = promised(shop(stations, *busy), new)
    assert times(answer.lot, "10") == [(60, 80)]
    assert times(answer.lot, "20") == [(200, 205)]
    assert answer.held_up_by == "bench"


def test_its_own_operations_do_not_meet_at_a_station():
    steps = operation("10", single(10), waiting=2, send_ahead=1), operation("20", single(10))
    assert times(promised(shop([MILL]), lot("new", *steps)).lot, "20") == [(20, 40)]


def test_it_joins_a_batch_that_is_planned_when_there_is_room_and_its_pieces_are_there():
    def tumbled(key, pieces, start=0):
        taking = Batch("deburr", 3_600_000, max_pieces=100)
        blanks = operation("5", Purchase((Arrival(at(start), pieces),)), "", waiting=pieces)
        return lot(key, blanks, operation("10", taking, setup=15))

    planned = shop([MILL], work("x", 30), tumbled("a", 60, start=20))
    assert times(promised(planned, tumbled("new", 40)).lot, "10") == [(30, 105)]
    assert times(promised(planned, tumbled("new", 41)).lot, "10") == [(105, 180)]
    assert times(promised(planned, tumbled("new", 40, start=31)).lot, "10") == [(105, 180)]
    assert times(promised(planned, tumbled("new", 140)).lot, "10") == [(30, 105), (105, 180)]
    assert times(promised(planned, tumbled("new", 160)).lot, "10") == [(105, 180), (180, 255)]
    assert told(promised(planned, tumbled("new", 40)).lot.chain)[1:] == [("set-up", "10", 15), ("running", "10", 60)]


def test_a_batch_that_is_joined_has_less_room_left():
    taking = Batch("deburr", 3_600_000, max_pieces=100)
    planned = shop([MILL], work("x", 30, rush=True), lot("a", operation("10", taking, waiting=60)))
    blanks = operation("5", Purchase((Arrival(at(5), 30), Arrival(at(10), 30))), "", waiting=60)
    assert times(promised(planned, lot("new", blanks, operation("10", taking))).lot, "10") == [(30, 90), (90, 150)]


def test_a_batch_under_way_is_not_joined():
    taking = Batch("deburr", 3_600_000, max_pieces=100)
    going = lot("a", operation("10", taking, open_jobs=(OpenJob("mill", 5, at(0)),)))
    assert times(promised(shop([MILL], going), lot("new", operation("10", taking, waiting=5))).lot, "10") == [(60, 120)]


def test_lead_times_and_blanks_are_reckoned_as_in_the_forecast():
    blanks = operation("5", Purchase((Arrival(at(30), 4), Arrival(at(90), 6))), "", waiting=10)
    steps = blanks, operation("10", single(1)), operation("20", LeadTime(2), "")
    answer = promised(shop([MILL]), lot("new", *steps))
    assert times(answer.lot, "10") == [(30, 34), (90, 96)]
    assert minutes(answer.lot.finish) == 96 + 2 * 24 * 60


def test_what_cannot_be_done_has_a_status_and_a_reason():
    answer = promised(shop([MILL]), lot("new", operation("10", single(1), "nowhere", waiting=1)))
    assert (answer.lot.status, answer.lot.finish, answer.held_up_by) == (Status.NO_STATION, None, None)
    never = shop([station("mill", calendar=calendar())])
    assert promised(never, work("new", 1)).lot.status is Status.NO_OPEN_HOURS
    assert promised(shop([MILL]), work("new", 10_000_000)).lot.status is Status.NO_OPEN_HOURS


def test_a_lot_that_has_begun_is_refused():
    with pytest.raises(ValueError, match="has not begun"):
        promised(shop([MILL]), lot("new", operation("10", single(1), open_jobs=(OpenJob("mill", 1, 0),))))


def test_stretches_are_kept_in_order_and_a_shared_batch_is_one():
    taking = Batch("deburr", 3_600_000, max_pieces=10)
    both = [lot(key, operation("10", taking, waiting=4, setup=1, family="f")) for key in "ab"]
    planned = shop([MILL], *both, work("c", 5, due=1))
    stretches = busy_stretches(planned, forecast(planned))["mill"]
    assert [(minutes(busy.start), minutes(busy.end), busy.family, busy.saved_setup_s) for busy in stretches] == [
        (0, 5, "", 0),
        (5, 66, "f", 0),
    ]
    assert stretches[1].batch is not None
    assert stretches[1].batch.pieces == 8


@st.composite
def shops_and_new_lots(draw):
    drawn = draw(shops(lots_at_most=4, all_can_be_done=True))
    attended = tuple(replace(one, unattended_s=0) for one in drawn.stations)  # a promise counts on nothing else
    planned = replace(drawn, stations=attended)
    new = draw(lots(planned.now, planned.stations, "new"))
    begun = [replace(step, open_jobs=(), held=0, counted=0) for step in new.operations]
    return planned, replace(new, operations=tuple(begun), hold=None)


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(shops_and_new_lots())
def test_a_promise_can_be_kept_without_moving_anything(case):
    planned, new = case
    busy = busy_stretches(planned, forecast(planned))
    answer = promise(planned, busy, new)
    assume(answer.lot.status in {Status.PLANNED, Status.NO_BLANKS})
    alone = replace(planned, lots=(new,))
    found = broken(alone, plan_of(alone, answer)) - {Rule.BATCH_WAIT}  # alone its batches have nobody to wait for
    assert not found or Rule.SETUP in found  # alone it may need a set-up that it is spared among the others
    assert sum(reason.seconds for reason in answer.lot.chain) == (answer.lot.finish or planned.now) - planned.now
    kinds = {operation.key: operation for operation in new.operations}
    for place in planned.stations:
        stretches = list(busy[place.key])
        mine = [run for one in answer.lot.operations for run in one.runs if run.station == place.key]
        for run in sorted(
            mine, key=lambda run: run.load
        ):  # as they were placed: what shares a batch comes after its first
            if (run.start, run.end) not in {(taken.start, taken.end) for taken in stretches}:  # else it joins a batch
                operation = kinds[run.operation]
                saved = operation.setup_s - run.setup_s
                taken = Busy(run.start, run.end, operation.family, operation.fixture, saved)
                insort(stretches, taken, key=lambda taken: (taken.start, taken.end))
        assert_fit(place, stretches)


def plan_of(shop, answer):
    """Return the lot of a promise as a plan."""
    rows = [
        PlannedRun(run.lot, index, run.station, run.start, run.end, run.pieces, run.setup_s, run.load)
        for index, one in enumerate(answer.lot.operations)
        for run in one.runs
    ]
    lot = PlannedLot(answer.lot.key, answer.lot.status, answer.lot.finish, "" if answer.lot.finish else "it is so")
    return summed_up(shop, [lot], sorted(rows, key=lambda run: run.start))


def assert_fit(place, stretches):
    """Stretches follow each other, with the set-up each needs after the one before it."""
    family, fixture = place.set_up_for, place.set_up_fixture
    end = stretches[0].start if stretches else 0
    for busy in stretches:
        assert busy.start >= end
        of_its_kind = busy.family == family or (busy.fixture != "" and busy.fixture == fixture)
        if busy.saved_setup_s and not of_its_kind:
            assert open_seconds(place.calendar.hours, end, busy.start) >= busy.saved_setup_s
        family, fixture, end = busy.family, busy.fixture, busy.end
