"""How far open jobs have got by what was said of them; minutes count from Monday 0:00, and nothing closes."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.planning.takings import done_ms, run_seconds, seconds
from app.core.shop import BarFed, Batch, OpenJob, PalletLoad, SinglePiece, Station, Taking
from app.core.work_hours import WorkHours
from app.lots.models import Verb
from app.schedule.queries.progress import Begun, Mark, Progress, progress
from tests.core.planning.generated import TAKINGS
from tests.core.planning.plans import plan
from tests.core.shops import MINUTE, at, lot, operation, round_the_clock, shop, station

ALWAYS = WorkHours(round_the_clock(), 0, None)
ONE, TWO = station("M"), station("M", pallets=2, pallet_change_ms=60_000)
TENDED = PalletLoad(1, 600_000, load_ms=240_000, unload_ms=120_000)
"""At two pallets three loads are unloaded at 18, 29 and 40."""
BARS = BarFed(10, 60_000, 300_000)
MINUTES = SinglePiece(60_000)


def begun(taking: Taking, pieces: int, setup: int = 0, where: Station = ONE, load: object = None) -> Begun:
    return Begun(taking, where, pieces, setup * MINUTE, object() if load is None else load)


def said(verb: Verb, minute: float, made: int = 0) -> Mark:
    return Mark(verb, at(minute), made)


def so_far(job: Begun, now: float, *marks: Mark) -> Progress:
    [found] = progress([job], [(0, mark) for mark in marks], ALWAYS, at(now))
    return found


def minutes_of(jobs: list[Begun], now: float, *marks: tuple[int, Mark]) -> list[float]:
    return [found.worked_s / MINUTE for found in progress(jobs, marks, ALWAYS, at(now))]


BEGUN = said(Verb.BEGIN_RUN, 0)


@pytest.mark.parametrize(("at_minute", "now"), [(18, 18), (18, 25), (20, 27), (15, 22)])
def test_a_count_leaves_the_pallets_where_they_are(at_minute, now):
    """With one load out the machine cuts the second, 18 minutes behind its start, whenever that is said."""
    found = so_far(begun(TENDED, 3, where=TWO), now, BEGUN, said(Verb.COUNT, at_minute, 1))
    assert found == Progress((18 + now - at_minute) * 60, in_setup=False, paused=False, counted=1)


def test_a_count_leaves_the_bar_where_it_is():
    found = so_far(begun(BARS, 25), 30, BEGUN, said(Verb.COUNT, 23, 13))
    assert (found.worked_s, found.counted) == (30 * 60, 13)
    assert run_seconds(BARS, ONE, 25) - found.worked_s == 10 * 60


def test_a_count_that_is_corrected_puts_the_work_back():
    marks = [BEGUN, said(Verb.COUNT, 30, 30), said(Verb.COUNT, 31, 20)]
    assert so_far(begun(MINUTES, 60), 31, *marks) == Progress(20 * 60, in_setup=False, paused=False, counted=20)
    assert so_far(begun(MINUTES, 60), 32, *marks, said(Verb.COUNT, 32, 0)).worked_s == 0


def test_pace_and_change_of_pallets_are_reckoned_with():
    quick = replace(TWO, pace=200, pallet_change_ms=120_000)  # in at 6 and 6 + 5 + 2, unloaded at 15
    assert so_far(begun(TENDED, 3, where=quick), 50, BEGUN, said(Verb.COUNT, 50, 1)).worked_s == 15 * 60


def test_what_is_passed_on_says_as_much_as_a_count_unless_it_was_counted_before():
    for verb in (Verb.SEND_AHEAD, Verb.SIGN_OFF):
        assert so_far(begun(MINUTES, 60), 30, BEGUN, said(verb, 25, 20)).worked_s == 25 * 60
        marks = [BEGUN, said(Verb.COUNT, 20, 20), said(verb, 25, 20)]
        assert so_far(begun(MINUTES, 60), 30, *marks).worked_s == 30 * 60


def test_pieces_found_bad_are_made_and_say_nothing_of_the_rest():
    assert so_far(begun(MINUTES, 60), 30, BEGUN, said(Verb.SCRAP, 25, 1)) == Progress(30 * 60, False, False, 1)


def test_a_piece_made_to_set_up_is_none_of_the_run_that_follows():
    marks = [said(Verb.BEGIN_SETUP, 0), said(Verb.COUNT, 20, 1)]
    assert so_far(begun(BARS, 25, 30), 25, *marks) == Progress(25 * 60, in_setup=True, paused=False, counted=0)
    marks.append(said(Verb.BEGIN_RUN, 40, 1))
    assert so_far(begun(BARS, 25, 30), 47, *marks) == Progress(7 * 60, in_setup=False, paused=False, counted=0)


def test_a_count_after_set_up_should_be_over_is_of_the_run_though_nobody_said_that_it_runs():
    marks = [said(Verb.BEGIN_SETUP, 0), said(Verb.COUNT, 60, 13)]
    assert so_far(begun(BARS, 25, 30), 60, *marks) == Progress((30 + 23) * 60, True, False, 13)
    marks.append(said(Verb.BEGIN_RUN, 65, 13))
    assert so_far(begun(BARS, 25, 30), 66, *marks) == Progress((23 + 1) * 60, False, False, 13)


def test_a_run_that_is_set_up_again_begins_afresh_with_what_is_left():
    marks = [BEGUN, said(Verb.COUNT, 23, 13), said(Verb.BEGIN_SETUP, 30, 13), said(Verb.BEGIN_RUN, 60, 13)]
    assert so_far(begun(BARS, 25, 30), 40, *marks[:3]) == Progress(10 * 60, True, False, 0)
    assert so_far(begun(BARS, 25, 30), 77, *marks, said(Verb.COUNT, 76, 23)) == Progress(16 * 60, False, False, 10)


def test_a_pause_stops_the_clock_where_it_was():
    marks = [BEGUN, said(Verb.COUNT, 20, 20), said(Verb.PAUSE, 25, 20)]
    assert so_far(begun(MINUTES, 60), 90, *marks) == Progress(25 * 60, False, True, 20)
    assert so_far(begun(MINUTES, 60), 95, *marks, said(Verb.BEGIN_RUN, 90, 20)).worked_s == 30 * 60


def test_a_batch_of_which_some_are_counted_is_out():
    assert so_far(begun(Batch("deburr", 3_600_000), 30), 20, BEGUN, said(Verb.COUNT, 20, 5)).worked_s == 60 * 60


TWENTY = begun(SinglePiece(2 * 60_000), 10)
BOTH = [(0, said(Verb.BEGIN_RUN, 0)), (1, said(Verb.BEGIN_RUN, 5))]


@pytest.mark.parametrize(("now", "expected"), [(5, [5, 0]), (14, [14, 0]), (26, [20, 6]), (50, [20, 30])])
def test_hours_are_the_next_load_s_from_when_the_one_before_should_be_done(now, expected):
    """Twenty minutes each: the first from 0 to 20, the second from then on, and what is over is the last one's."""
    assert minutes_of([TWENTY, replace(TWENTY, load="other")], now, *BOTH) == expected


def test_a_paused_job_gets_nothing():
    jobs = [TWENTY, replace(TWENTY, load="other")]
    assert minutes_of(jobs, 18, *BOTH, (0, said(Verb.PAUSE, 10))) == [10, 8]
    marks = [*BOTH, (0, said(Verb.PAUSE, 10)), (0, said(Verb.BEGIN_RUN, 15))]
    assert minutes_of(jobs, 18, *marks) == [13, 5]


def test_a_count_says_that_the_first_is_slower_and_leaves_the_other_what_it_had():
    jobs = [TWENTY, replace(TWENTY, load="other")]
    assert minutes_of(jobs, 33, *BOTH, (0, said(Verb.COUNT, 30, 8))) == [16 + 3, 10]
    assert minutes_of(jobs, 36, *BOTH, (0, said(Verb.COUNT, 30, 8))) == [20, 12]
    assert minutes_of(jobs, 15, *BOTH, (0, said(Verb.COUNT, 12, 10))) == [20, 3]  # done before its time


def test_the_first_is_set_up_before_the_other_gets_an_hour():
    jobs = [replace(TWENTY, setup_s=600), replace(TWENTY, load="other")]
    assert minutes_of(jobs, 36, (0, said(Verb.BEGIN_SETUP, 0)), (1, said(Verb.BEGIN_RUN, 5))) == [30, 6]


def test_jobs_of_one_load_have_the_same_hours_and_the_longest_of_them_keeps_them():
    jobs = [begun(MINUTES, pieces, load="shared") for pieces in (10, 20)] + [TWENTY]
    marks = [(place, said(Verb.BEGIN_RUN, place)) for place in range(3)]
    assert minutes_of(jobs, 12, *marks) == [10, 11, 0]
    assert minutes_of(jobs, 27, *marks) == [10, 20, 6]


@given(TAKINGS, st.integers(1, 12), st.sampled_from([ONE, TWO, replace(TWO, pace=130)]), st.data())
def test_counts_that_are_as_planned_change_nothing(taking, pieces, where, data):
    """Each said in the second in which the model has so many done."""
    job = begun(taking, pieces, where=where)
    counted = sorted(data.draw(st.sets(st.integers(1, pieces))))
    done = {count: seconds(done_ms(taking, where, count, pieces)) for count in counted}
    marks = [BEGUN, *(Mark(Verb.COUNT, at(0) + done[count], count) for count in counted)]
    end = run_seconds(taking, where, pieces)
    now = data.draw(st.integers(max([0, *done.values()]), end))
    found = progress([job], [(0, mark) for mark in marks], ALWAYS, at(0) + now)
    assert found == [Progress(now, False, False, max([0, *counted]))]


@given(st.data())
def test_every_second_in_which_something_runs_is_one_load_s(data):
    jobs = [begun(data.draw(TAKINGS), data.draw(st.integers(1, 9))) for _ in range(3)]
    moments = sorted(data.draw(st.lists(st.integers(0, 500), min_size=1, max_size=12)))
    marks, running, passed, before = [], set(), 0, 0
    for minute in moments:
        passed += (minute - before) if running else 0
        before, place = minute, data.draw(st.integers(0, 2))
        verb = Verb.PAUSE if place in running else Verb.BEGIN_RUN
        running ^= {place}
        marks.append((place, said(verb, minute)))
    passed += 30 if running else 0
    found = progress(jobs, marks, ALWAYS, at(before + 30))
    assert sum(each.worked_s for each in found) == passed * MINUTE


@given(st.lists(st.tuples(TAKINGS, st.integers(1, 9), st.sampled_from([0, 25])), min_size=2, max_size=3), st.data())
def test_the_books_and_the_model_give_the_same_hours_to_the_same_loads(planned, data):
    """What the fold tells and what a plan makes of the same starts end at the same time."""
    starts = sorted(
        data.draw(st.lists(st.integers(-600, -1), min_size=len(planned), max_size=len(planned), unique=True))
    )
    jobs = [begun(taking, pieces, setup, TWO) for taking, pieces, setup in planned]
    marks = [
        (place, said(Verb.BEGIN_SETUP if job.setup_s else Verb.BEGIN_RUN, starts[place]))
        for place, job in enumerate(jobs)
    ]
    found = progress(jobs, marks, ALWAYS, at(0))
    ends = []
    for told in (True, False):
        opened = (
            OpenJob("M", job.pieces, at(start), job.setup_s > 0, one.worked_s if told else None)
            for job, start, one in zip(jobs, starts, found, strict=True)
        )
        lots = (
            lot(f"L{n}", operation("10", job.taking, setup=job.setup_s / MINUTE, open_jobs=(of_lot,)))
            for n, (job, of_lot) in enumerate(zip(jobs, opened, strict=True))
        )
        ends.append([run.end for run in plan(shop([TWO], *lots)).operations])
    assert ends[0] == ends[1]


def test_what_has_gone_leaves_the_hours_to_the_others():
    jobs = [TWENTY, replace(TWENTY, load="other")]
    assert minutes_of(jobs, 18, *BOTH, (0, Mark(Verb.SIGN_OFF, at(10), 10, gone=True))) == [20, 8]
    assert minutes_of(jobs, 18, *BOTH, (0, Mark(Verb.HOLD, at(10), gone=True))) == [10, 8]
