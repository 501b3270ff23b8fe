"""What is under way, held or down, as rows, through the planner; minutes count from Wednesday 9:00 unless said."""

from datetime import time, timedelta

import pytest

from app.core import shop as core
from app.core.calendar_hours import OpenHours, Shift
from app.core.calendars import WorkCalendar
from app.core.work_hours import WorkHours
from app.lots import services as lots
from app.lots.models import Verb
from app.schedule.models import Outlook
from app.schedule.queries import chain_words, why
from app.schedule.queries.progress import Begun, Mark, Progress, progress
from app.stations.models import PASSED_GUESS_LASTS, Downtime
from tests.core.shops import DAY, HOUR
from tests.factories.lots import act, make_lot, station_of
from tests.factories.schedule import forecast_of, plan_now, routing_of, runs_of, single, spans_of


@pytest.fixture
def lot(session):
    """Return a lot of 60 pieces: 30 min of set-up, 2 min a piece, then 1 min a piece without set-up."""
    return make_lot(session, pieces=60, routing=routing_of(single(2, setup=30), single(1)))


@pytest.fixture
def at(lot, clock):
    """Return a way to make an act at the lot's first station, now."""
    station_id = station_of(lot.operations[0]).id
    return lambda: act(station_id=station_id, happened_at=clock.now, recorded_at=clock.now)


def minutes_left(session, lot, now):
    return [round(end - start) for start, end in spans_of(session, lot, now)]


def test_set_up_under_way_leaves_the_rest_of_it_and_the_run(session, lot, at, clock):
    lots.begin(session, at(), [lot.operations[0].id], setup=True)
    clock.forward(minutes=10)
    plan_now(session, clock.now)
    assert minutes_left(session, lot, clock.now) == [20 + 120, 60]
    assert runs_of(session, lot)[0].under_way
    assert runs_of(session, lot)[0].setup_seconds == 20 * 60


def test_a_run_under_way_leaves_what_it_has_not_done(session, lot, at, clock):
    lots.begin(session, at(), [lot.operations[0].id])
    clock.forward(minutes=40)
    plan_now(session, clock.now)
    assert minutes_left(session, lot, clock.now) == [80, 60]


def test_counting_begins_the_remaining_pieces_afresh(session, lot, at, clock):
    lots.begin(session, at(), [lot.operations[0].id])
    clock.forward(minutes=60)
    lots.count_so_far(session, at(), lot.operations[0].id, 20)  # slower than planned: 3 min a piece
    clock.forward(minutes=10)
    plan_now(session, clock.now)
    assert minutes_left(session, lot, clock.now) == [70, 60]


def test_a_sign_off_that_is_recorded_late_counts_from_when_it_happened(session, lot, at, clock):
    """Twenty were counted at 10:00 and written down at 10:30: of the other forty half an hour is done."""
    lots.begin(session, at(), [lot.operations[0].id])
    station_id = station_of(lot.operations[0]).id
    then = clock.now + timedelta(minutes=60)
    clock.forward(minutes=90)
    late = act(station_id=station_id, happened_at=then, recorded_at=clock.now)
    lots.count_so_far(session, late, lot.operations[0].id, 20)
    plan_now(session, clock.now)
    assert minutes_left(session, lot, clock.now) == [40 * 2 - 30, 60]


def test_what_was_done_but_not_yet_written_down_is_not_begun_again(session, lot, at, clock):
    """All sixty were done at 11:00, which is written down at 12:00; the second operation has been waiting since."""
    lots.begin(session, at(), [lot.operations[0].id])
    done = clock.now + timedelta(minutes=120)
    clock.forward(minutes=180)
    late = act(station_id=station_of(lot.operations[0]).id, happened_at=done, recorded_at=clock.now)
    lots.sign_off(session, late, [lots.SignOff(lot.operations[0].id, 60)])
    plan_now(session, clock.now)
    assert spans_of(session, lot, clock.now) == [(0, 60)]


def test_pieces_that_go_back_for_rework_pass_both_operations_again(session, lot, at, clock):
    """Of sixty ten go back: those fifty that are good go on at once, the ten once more through both operations."""
    first, second = lot.operations
    lots.begin(session, at(), [first.id])
    clock.forward(minutes=120)
    lots.sign_off(session, at(), [lots.SignOff(first.id, 60)])
    there = act(station_id=station_of(second).id, happened_at=clock.now, recorded_at=clock.now)
    lots.begin(session, there, [second.id])
    clock.forward(minutes=60)
    there = act(station_id=station_of(second).id, happened_at=clock.now, recorded_at=clock.now)
    lots.sign_off(session, there, [lots.SignOff(second.id, 50, rework=(lots.Rework(10, first.id, "chatter"),))])
    plan_now(session, clock.now)
    assert spans_of(session, lot, clock.now) == [(0, 20), (20, 30)]


def test_a_job_that_should_be_done_ends_now(session, lot, at, clock):
    lots.begin(session, at(), [lot.operations[0].id])
    clock.forward(minutes=180)
    plan_now(session, clock.now)
    assert minutes_left(session, lot, clock.now) == [0, 60]


def test_a_paused_job_keeps_what_it_has_done_and_goes_on_after_what_runs(session, lot, at, clock):
    rush = make_lot(session, pieces=10, routing=lot.operations[0].lot.revision.routings[0])
    lots.begin(session, at(), [lot.operations[0].id])
    clock.forward(minutes=40)
    lots.pause(session, at(), lot.operations[0].id)
    clock.forward(minutes=30)
    lots.begin(session, at(), [rush.operations[0].id])
    clock.forward(minutes=5)
    plan_now(session, clock.now)
    assert spans_of(session, rush, clock.now)[0] == (0, 15)
    assert spans_of(session, lot, clock.now)[0] == (15, 15 + 80)


def test_closed_hours_do_not_count_as_work(session, lot, at, clock):
    clock.forward(hours=8, minutes=30)  # 17:30
    lots.begin(session, at(), [lot.operations[0].id])
    clock.forward(hours=13)  # Thursday 6:30: open 17:30 to 18:00 and 6:00 to 6:30
    plan_now(session, clock.now)
    assert minutes_left(session, lot, clock.now) == [60, 60]


def test_counted_pieces_go_on_with_the_last_of_their_operation(session, lot, at, clock):
    lots.begin(session, at(), [lot.operations[0].id])
    clock.forward(minutes=40)
    lots.count_so_far(session, at(), lot.operations[0].id, 20)
    plan_now(session, clock.now)
    first, second = runs_of(session, lot)
    assert (first.pieces, second.pieces) == (40, 60)


def test_pieces_sent_ahead_by_hand_are_planned_where_they_are(session, lot, at, clock):
    lots.begin(session, at(), [lot.operations[0].id])
    clock.forward(minutes=40)
    lots.send_ahead(session, at(), lot.operations[0].id, 20)
    plan_now(session, clock.now)
    # The rest of the first operation, the twenty at the second station, then the rest there.
    assert spans_of(session, lot, clock.now) == [(0, 80), (0, 20), (80, 120)]


def test_a_batch_under_way_is_one_stretch(session, now, clock):
    plan = {"cycle_ms": 3_600_000, "load_pieces": 100, "recipe": "deburr", "taking": "batch", "setup_seconds": 0}
    routing = routing_of(plan)
    first, second = (make_lot(session, pieces=40, routing=routing) for _ in range(2))
    station = station_of(first.operations[0])
    lots.begin(session, act(station_id=station.id), [first.operations[0].id, second.operations[0].id])
    clock.forward(minutes=15)
    plan_now(session, clock.now)
    assert spans_of(session, first, clock.now) == spans_of(session, second, clock.now) == [(0, 45)]


def test_what_a_station_ran_last_needs_no_set_up(session, lot, at, clock):
    again = make_lot(session, pieces=10, routing=lot.operations[0].lot.revision.routings[0])
    lots.begin(session, at(), [again.operations[0].id], setup=True)
    clock.forward(minutes=50)
    lots.sign_off(session, at(), [lots.SignOff(again.operations[0].id, 10)])
    plan_now(session, clock.now)
    assert runs_of(session, lot)[0].setup_seconds == 0


@pytest.mark.parametrize(
    ("fixtures", "left"), [(("vise", "vise"), 10 * 60 - 60), (("vise", "plate"), 30 * 60 - 60), (("", ""), 29 * 60)]
)
def test_set_up_under_way_is_what_the_work_before_it_left_to_do(session, clock, fixtures, left):
    """Thirty minutes of set-up, ten where the same fixture is on."""
    plans = (single(2, setup=30, setup_family=fixture, family_setup_seconds=600) for fixture in fixtures)
    before, lot = (make_lot(session, pieces=10, routing=routing_of(plan)) for plan in plans)
    station = station_of(before.operations[0])
    lot.operations[0].work_center_id = station.work_center_id
    session.commit()
    for one in (before, lot):
        then = act(station_id=station.id, happened_at=clock.now, recorded_at=clock.now)
        lots.begin(session, then, [one.operations[0].id], setup=True)
        if one is before:
            clock.forward(minutes=50)
            then = act(station_id=station.id, happened_at=clock.now, recorded_at=clock.now)
            lots.sign_off(session, then, [lots.SignOff(one.operations[0].id, 10)])
    clock.forward(minutes=1)
    plan_now(session, clock.now)
    assert runs_of(session, lot)[0].setup_seconds == left


def begin_behind_its_part(session, lot, at, clock):
    """Begin a lot's set-up right behind another lot of its part, ten minutes ago."""
    before = make_lot(session, pieces=10, routing=lot.operations[0].lot.revision.routings[0])
    lots.begin(session, at(), [before.operations[0].id])
    clock.forward(minutes=20)
    lots.sign_off(session, at(), [lots.SignOff(before.operations[0].id, 10)])
    lots.begin(session, at(), [lot.operations[0].id], setup=True)
    clock.forward(minutes=10)


def test_set_up_for_the_part_that_ran_before_is_not_needed(session, lot, at, clock):
    begin_behind_its_part(session, lot, at, clock)
    plan_now(session, clock.now)
    assert minutes_left(session, lot, clock.now) == [110, 60]


def test_what_was_begun_while_set_up_was_paused_undid_it(session, lot, at, clock):
    """The same part ran before, but something else since: all of the set-up is needed."""
    other = make_lot(session, pieces=10, routing=routing_of(single(1)))
    other.operations[0].work_center_id = lot.operations[0].work_center_id
    session.commit()
    begin_behind_its_part(session, lot, at, clock)
    lots.pause(session, at(), lot.operations[0].id)
    clock.forward(minutes=1)
    lots.begin(session, at(), [other.operations[0].id])
    plan_now(session, clock.now)
    assert runs_of(session, lot)[0].setup_seconds == 20 * 60


def test_a_begin_that_was_undone_set_nothing_up(session, lot, at, clock):
    begun = lots.begin(session, at(), [lot.operations[0].id], setup=True)
    lots.undo(session, at(), begun.id)
    plan_now(session, clock.now)
    assert runs_of(session, lot)[0].setup_seconds == 1800


def test_a_lot_on_hold_has_no_finish_and_takes_no_time(session, lot, now):
    behind = make_lot(session, pieces=10, routing=lot.operations[0].lot.revision.routings[0])
    lots.hold_lot(session, act(), lot.id, "drawing is unclear")
    plan_now(session, now)
    found = forecast_of(session, lot)
    assert (found.outlook, why(found), found.finish_at) == (Outlook.HELD, ["On hold: drawing is unclear."], None)
    assert spans_of(session, behind, now)[0] == (0, 50)


def test_held_pieces_stop_the_lot_but_not_the_others_of_it(session, lot, now):
    lots.hold_pieces(session, act(), lot.operations[0].id, 20, "burr")
    plan_now(session, now)
    assert why(forecast_of(session, lot)) == ["Operation 10: 20 pieces are on hold."]
    assert [run.pieces for run in runs_of(session, lot)] == [40, 40]


@pytest.mark.parametrize(
    ("ends_in", "is_guess", "reckoned"), [(60, False, 60), (60, True, 60), (-10, True, 60), (-10, False, 0)]
)
def test_downtime_until_its_end_and_a_passed_guess_for_an_hour_more(session, lot, now, ends_in, is_guess, reckoned):
    assert timedelta(hours=1) == PASSED_GUESS_LASTS
    down = Downtime(
        station=station_of(lot.operations[0]),
        starts_at=now - timedelta(hours=1),
        ends_at=now + timedelta(minutes=ends_in),
        end_is_guess=is_guess,
    )
    session.add(down)
    session.commit()
    plan_now(session, now)
    assert spans_of(session, lot, now)[0][0] == reckoned
    found = forecast_of(session, lot)
    assert found.is_guess is (is_guess and reckoned > 0)
    said = [said.sentence for said in chain_words(found.waits, found.finish_at)]
    assert any("is down" in sentence for sentence in said) is (reckoned > 0)


def test_a_job_at_a_station_that_is_no_longer_in_use_is_still_ended_there(session, lot, at, clock):
    lots.begin(session, at(), [lot.operations[0].id])
    station_of(lot.operations[0]).active = False
    session.commit()
    clock.forward(minutes=40)
    plan_now(session, clock.now)
    assert minutes_left(session, lot, clock.now) == [80, 60]


ALWAYS = WorkHours(WorkCalendar(OpenHours("UTC", tuple(Shift(day, time(0), time(0)) for day in range(7)))), 0, None)
MILL = core.Station("M", "mill", WorkCalendar(OpenHours("UTC")))


def so_far(marks, hours, now, setup_s):
    """Return how far one job of 100 pieces of ten minutes has got."""
    [found] = progress([Begun(core.SinglePiece(600_000), MILL, 100, setup_s, 1)], [(0, m) for m in marks], hours, now)
    return found


def test_a_pause_in_set_up_is_not_counted():
    marks = [Mark(Verb.BEGIN_SETUP, 0), Mark(Verb.PAUSE, 100), Mark(Verb.BEGIN_SETUP, 500)]
    assert so_far(marks, ALWAYS, 560, 600) == Progress(60, in_setup=True, paused=False)
    assert so_far(marks[:2], ALWAYS, 900, 600) == Progress(100, in_setup=True, paused=True)


def test_work_goes_on_unattended_and_set_up_does_not():
    """Monday 6:00 to 14:00 and two hours alone; seconds count from Monday 0:00."""
    monday = 4 * DAY  # the first Monday of 1970
    day = WorkHours(WorkCalendar(OpenHours("UTC", (Shift(0, time(6), time(14)),))), 2 * HOUR, None)
    begun, now = monday + 13 * HOUR, monday + 18 * HOUR
    assert so_far([Mark(Verb.BEGIN_RUN, begun)], day, now, 0).worked_s == 3 * HOUR
    setting_up = [Mark(Verb.BEGIN_SETUP, begun)]
    assert so_far(setting_up, day, now, 2 * HOUR).worked_s == HOUR
    assert so_far(setting_up, day, now, HOUR // 2).worked_s == 3 * HOUR
    paused = [*setting_up, Mark(Verb.BEGIN_RUN, begun + HOUR), Mark(Verb.PAUSE, begun + 2 * HOUR)]
    assert so_far(paused, day, now, HOUR) == Progress(HOUR, in_setup=False, paused=True)
