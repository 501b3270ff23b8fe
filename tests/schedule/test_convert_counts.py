"""Loads, bars and several jobs at a station under way, through the planner; minutes count from Wednesday 9:00."""

import json

import pytest

from app.core.plan_check import check
from app.core.planning.decoding import decode
from app.core.planning.outcome import plan_of_arrays
from app.core.planning.problem_file import read_problem, write_problem
from app.lots import services as lots
from app.parts.models import Taking
from app.schedule.queries.snapshot import read_snapshot
from tests.factories.lots import act, make_lot, station_of
from tests.factories.schedule import plan_now, routing_of, runs_of, single, spans_of

TENDED = {
    "taking": Taking.LOAD,
    "load_pieces": 1,
    "cycle_ms": 600_000,
    "load_ms": 240_000,
    "unload_ms": 120_000,
    "setup_seconds": 0,
}
BARS = {"taking": Taking.BAR, "load_pieces": 10, "cycle_ms": 60_000, "load_ms": 300_000, "setup_seconds": 0}


@pytest.fixture
def made(session):
    """Return a way to make a lot whose first operation has two pallets with a change of a minute."""

    def make(pieces, plan, station=None, **changes):
        lot = make_lot(session, pieces=pieces, routing=routing_of(plan, single(1)))
        if station is not None:
            lot.operations[0].work_center_id = station.work_center_id
        for name, value in {"pallets": 2, "pallet_change_seconds": 60, **changes}.items():
            setattr(station_of(lot.operations[0]) if station is None else station, name, value)
        session.commit()
        return lot

    return make


@pytest.fixture
def tended(made):
    """Return a lot of three loads that, begun at 0, are unloaded at 18, 29 and 40."""
    return made(3, TENDED)


@pytest.fixture
def acting(clock):
    """Return a way to act at the station of a lot's first operation, now."""
    return lambda lot: act(station_id=station_of(lot.operations[0]).id, happened_at=clock.now, recorded_at=clock.now)


@pytest.fixture
def begin(session, acting):
    return lambda *begun, **more: lots.begin(session, acting(begun[0]), [lot.operations[0].id for lot in begun], **more)


@pytest.fixture
def left(session, clock):
    """Return a way to plan now and read what is left of the first operation of lots, as (start, end)."""

    def plan(*asked):
        plan_now(session, clock.now)
        return [
            next(
                span
                for run, span in zip(runs_of(session, lot), spans_of(session, lot, clock.now), strict=True)
                if run.operation_id == lot.operations[0].id
            )
            for lot in asked
        ]

    return plan


def test_a_count_does_not_load_the_pallets_anew(session, tended, begin, acting, clock, left):
    begin(tended)
    clock.forward(minutes=18)
    lots.count_so_far(session, acting(tended), tended.operations[0].id, 1)
    assert left(tended) == [(0, 22)]
    clock.forward(minutes=5)
    assert left(tended) == [(0, 17)]


def test_a_count_does_not_change_the_bar(session, made, begin, acting, clock, left):
    lot = made(25, BARS)
    begin(lot)
    clock.forward(minutes=23)
    lots.count_so_far(session, acting(lot), lot.operations[0].id, 13)
    assert left(lot) == [(0, 17)]


def test_a_count_is_of_what_was_signed_off_and_sent_ahead_too(session, tended, begin, acting, clock, left):
    """One load after another is passed on: the third is planned to be out at 40 all the while."""
    begin(tended)
    clock.forward(minutes=18)
    lots.send_ahead(session, acting(tended), tended.operations[0].id, 1)
    assert left(tended) == [(0, 22)]
    clock.forward(minutes=11)
    lots.sign_off(session, acting(tended), [lots.SignOff(tended.operations[0].id, 1)])
    assert left(tended) == [(0, 11)]


def test_what_was_counted_may_be_passed_on_at_any_time(session, tended, begin, acting, clock, left):
    begin(tended)
    clock.forward(minutes=18)
    lots.count_so_far(session, acting(tended), tended.operations[0].id, 1)
    clock.forward(minutes=7)
    lots.sign_off(session, acting(tended), [lots.SignOff(tended.operations[0].id, 1)])
    assert left(tended) == [(0, 15)]


def test_a_count_that_is_undone_was_none(session, tended, begin, acting, clock, left):
    begin(tended)
    clock.forward(minutes=10)
    counted = lots.count_so_far(session, acting(tended), tended.operations[0].id, 2)
    assert left(tended) == [(0, 11)]
    lots.undo(session, acting(tended), counted.id)
    assert left(tended) == [(0, 30)]


def test_a_piece_found_bad_has_had_its_time_and_one_that_is_missing_has_not(
    session, made, tended, begin, acting, clock, left
):
    """Scrapped: the third load is out at 40. Not there after all: two loads are out at 29."""
    begin(tended)
    missing = made(3, TENDED)
    begin(missing)
    clock.forward(minutes=20)
    lots.scrap_pieces(session, acting(tended), tended.operations[0].id, 1, "chatter")
    lots.recount(session, act(), missing.id, lots.Count(missing.operations[0].id, 2, 3, "one was never here"))
    assert left(tended, missing) == [(0, 20), (0, 9)]


def test_scrap_of_a_sign_off_counts_as_made(session, tended, begin, acting, clock, left):
    begin(tended)
    clock.forward(minutes=29)
    scrap = (lots.Scrap(1, "chatter"),)
    lots.sign_off(session, acting(tended), [lots.SignOff(tended.operations[0].id, 1, scrap)])
    assert left(tended) == [(0, 11)]


def test_what_is_taken_off_begins_from_an_empty_machine(session, tended, begin, acting, clock, left):
    begin(tended)
    clock.forward(minutes=20)
    lots.take_off(session, acting(tended), tended.operations[0].id)
    assert left(tended) == [(0, 40)]
    begin(tended)
    clock.forward(minutes=10)
    assert left(tended) == [(0, 30)]


def test_pieces_that_were_counted_when_the_rest_was_taken_off_are_none_of_the_next_run(
    session, tended, begin, acting, clock, left
):
    begin(tended)
    clock.forward(minutes=18)
    lots.count_so_far(session, acting(tended), tended.operations[0].id, 1)
    lots.take_off(session, acting(tended), tended.operations[0].id)
    lots.sign_off(session, acting(tended), [lots.SignOff(tended.operations[0].id, 1)])
    begin(tended)
    clock.forward(minutes=2)
    assert left(tended) == [(0, 27)]  # two loads: 29


def test_counts_are_reckoned_at_the_pace_of_the_station(session, made, begin, acting, clock, left):
    """Cut in 20 minutes instead of ten: out at 28, 49 and 70."""
    lot = made(3, TENDED, pace=50)
    begin(lot)
    clock.forward(minutes=33)
    lots.count_so_far(session, acting(lot), lot.operations[0].id, 1)
    assert left(lot) == [(0, 42)]


def test_a_batch_of_which_some_are_counted_is_out(session, made, begin, acting, clock, left):
    lot = made(
        40, {"taking": Taking.BATCH, "load_pieces": 100, "recipe": "deburr", "cycle_ms": 3_600_000, "setup_seconds": 0}
    )
    begin(lot)
    clock.forward(minutes=50)
    lots.count_so_far(session, acting(lot), lot.operations[0].id, 10)
    assert left(lot) == [(0, 0)]


@pytest.fixture
def two(made, begin, clock):
    """Return lots of ten pieces of two minutes begun six and five minutes ago on the two pallets of a station."""
    first = made(10, single(2))
    second = made(10, single(2), station_of(first.operations[0]))
    begin(first)
    clock.forward(minutes=1)
    begin(second)
    clock.forward(minutes=5)
    return first, second


def test_two_jobs_at_a_station_have_its_hours_one_after_the_other(two, clock, left):
    assert left(*two) == [(0, 14), (14, 34)]
    clock.forward(minutes=20)  # the first should have been done six minutes ago
    assert left(*two) == [(0, 0), (0, 14)]


def test_a_count_of_the_first_leaves_the_other_behind_it(session, two, acting, clock, left):
    clock.forward(minutes=4)
    lots.count_so_far(session, acting(two[0]), two[0].operations[0].id, 2)  # slower than planned
    assert left(*two) == [(0, 16), (16, 36)]


def test_the_hours_of_a_pause_are_the_others(session, two, acting, clock, left):
    lots.pause(session, acting(two[0]), two[0].operations[0].id)
    clock.forward(minutes=3)
    assert left(two[1], two[0]) == [(0, 17), (17, 31)]
    lots.run(session, acting(two[0]), two[0].operations[0].id)
    clock.forward(minutes=3)
    assert left(*two) == [(0, 11), (11, 28)]


def test_what_ended_beside_a_job_has_had_its_hours(session, two, begin, acting, clock, left, made):
    """The first is signed off at 20, when it should be done: the other has begun then, whatever was said before."""
    clock.forward(minutes=14)
    lots.sign_off(session, acting(two[0]), [lots.SignOff(two[0].operations[0].id, 10)])
    assert left(two[1]) == [(0, 20)]
    third = made(10, single(2), station_of(two[0].operations[0]))
    begin(third)
    clock.forward(minutes=5)
    assert left(two[1], third) == [(0, 15), (15, 35)]
    lots.take_off(session, acting(two[1]), two[1].operations[0].id)
    clock.forward(minutes=5)
    assert left(third) == [(0, 15)]


def test_what_was_begun_twice_beside_a_job_is_two_runs(session, two, begin, acting, clock, left):
    """The other, taken off after 6 min of nothing and begun again at once, follows what had the hours meanwhile."""
    first, second = two
    lots.take_off(session, acting(first), first.operations[0].id)  # had 6 min
    begin(first)  # behind the other now
    clock.forward(minutes=21)
    assert left(second, first) == [(0, 0), (0, 19)]


def test_what_ended_before_its_time_or_was_undone_takes_no_more(session, two, acting, clock, left):
    clock.forward(minutes=4)
    ended = lots.sign_off(session, acting(two[0]), [lots.SignOff(two[0].operations[0].id, 10)])  # at 10, not at 20
    clock.forward(minutes=3)
    assert left(two[1]) == [(0, 17)]
    lots.undo(session, acting(two[0]), ended.id)
    assert left(*two) == [(0, 7), (7, 27)]


def test_lots_on_one_pallet_have_its_hours_together(session, made, begin, acting, clock, left):
    pallet = {**TENDED, "load_pieces": 4}
    shared = [made(2, pallet)]
    station = station_of(shared[0].operations[0])
    shared.append(made(2, pallet, station))
    third = made(10, single(2), station)
    begin(*shared)
    clock.forward(minutes=1)
    begin(third)
    clock.forward(minutes=9)
    assert left(*shared, third) == [(0, 8), (0, 8), (8, 28)]  # loaded 4, changed 1, cut 10, changed 1, unloaded 2
    clock.forward(minutes=11)
    assert left(*shared, third) == [(0, 0), (0, 0), (0, 17)]
    lots.sign_off(session, acting(third), [lots.SignOff(each.operations[0].id, 2) for each in shared])
    assert left(third) == [(0, 17)]


def test_what_is_under_way_is_exported_and_its_plan_is_proved(session, tended, two, begin, acting, clock):
    begin(tended)
    clock.forward(minutes=20)
    lots.count_so_far(session, acting(tended), tended.operations[0].id, 1)
    lots.count_so_far(session, acting(two[0]), two[0].operations[0].id, 4)
    shop = read_snapshot(session, clock.now).shop
    assert check(shop, plan_of_arrays(decode(shop))) == ()
    found = {job["counted"]: job["worked_s"] for job in jobs_written(shop) if "counted" in job}
    assert found == {1: 18 * 60, 4: 8 * 60}
    again = read_problem(write_problem(shop))
    assert plan_of_arrays(decode(again)) == plan_of_arrays(decode(shop))


def jobs_written(shop):
    """Return the open jobs of the problem file of a shop."""
    steps = (step for lot in json.loads(write_problem(shop))["lots"] for step in lot["operations"])
    return [job for step in steps for job in step.get("open_jobs", [])]
