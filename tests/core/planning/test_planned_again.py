"""A run of a plan that is under way later, begun when it was planned to, ends when it was planned to end."""

from collections.abc import Iterable, Iterator
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.core.calendars import WorkCalendar
from app.core.plan_check import check
from app.core.planning.decoding import decode
from app.core.planning.outcome import plan_of_arrays
from app.core.planning.result_file import PlannedRun
from app.core.planning.takings import done_ms, seconds
from app.core.shop import BarFed, Crew, OpenJob, OverClosed, PalletLoad, Shop, Station, Taking
from app.core.work_hours import People, WorkHours
from tests.core.planning.every_rule import draw_shop
from tests.core.planning.generated import TAKINGS, calendars
from tests.core.planning.plans import plan, runs
from tests.core.shops import HOUR, at, calendar, lot, operation, round_the_clock, shop, single, station

MANY = settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.too_slow])
DAYS = calendar(("06:00", "14:00"))
FEEDER = station("M", calendar=DAYS, over_closed=OverClosed.UNATTENDED, unattended_s=2 * HOUR)


def later(known: Shop, run: PlannedRun, now: int, **told: int) -> Shop:
    """Return a shop that has nothing but a run of its plan, which is under way at a second; ``told`` is of its job."""
    job = OpenJob(
        run.station or "",
        run.pieces - told.get("counted", 0),
        run.start,
        in_setup=run.setup_s > 0,
        load="one" if run.load else None,
        needed_setup_s=run.setup_s,
        **told,
    )
    of_lot = next(each for each in known.lots if each.key == run.lot)
    step = replace(
        of_lot.operations[run.index], waiting=0, counted=0, held=0, open_jobs=(job,), not_before=None, components=()
    )
    return replace(known, now=now, lots=(replace(of_lot, operations=(step,), hold=None),))


def end_later(known: Shop, run: PlannedRun, now: int, **told: int) -> int:
    """Return when a run ends when it is planned again at a second; the plan breaks no rule."""
    again = later(known, run, now, **told)
    found = plan_of_arrays(decode(again))
    assert check(again, found) == ()
    return found.operations[0].end


def at_one(machine, *crews: Crew, minutes: float, now: int, **more):
    """Return a shop whose only lot takes so many minutes at a station."""
    return replace(
        shop([machine], lot("L", operation("10", single(minutes), waiting=1, **more)), now=now), people=crews or None
    )


@pytest.mark.parametrize("minute", [13 * 60 + 1, 14 * 60, 15 * 60, 16 * 60, 20 * 60, 30 * 60, 30 * 60 + 59])
def test_what_ran_unattended_is_done(minute: int) -> None:
    """Four hours begun at 13:00: one until closing, two alone, the last from 6:00."""
    case = at_one(FEEDER, minutes=240, now=at(13 * 60))
    assert runs(plan(case), "L") == [(13 * 60, 31 * 60)]
    [run] = plan(case).operations
    assert end_later(case, run, at(minute)) == at(31 * 60)


def test_set_up_does_not_go_on_unattended() -> None:
    """Set-up of half an hour begun ten minutes before closing: twenty minutes are left at 6:00, then the work."""
    case = at_one(FEEDER, minutes=60, setup=30, now=at(13 * 60 + 50))
    [run] = plan(case).operations
    for minute in (14 * 60 + 30, 30 * 60, 30 * 60 + 19, 30 * 60 + 21):
        assert end_later(case, run, at(minute)) == run.end == at(30 * 60 + 80)


@pytest.mark.parametrize("minute", [13 * 60, 18 * 60 + 20, 30 * 60, 32 * 60])
def test_nothing_is_done_while_nobody_is_there(minute: int) -> None:
    """A station that never closes, people from 6:00 to 14:00: five hours begun at 12:00 end at 9:00 the next day."""
    case = at_one(station("M", calendar=round_the_clock()), Crew(DAYS, 1, 1), minutes=300, now=at(12 * 60))
    [run] = plan(case).operations
    assert run.end == at(33 * 60)
    assert end_later(case, run, at(minute)) == run.end


def test_only_the_set_up_that_was_needed_is_left() -> None:
    """Ten minutes of set-up with the fixture that is on already, not thirty."""
    machine = station("M", set_up_fixture="vise")
    case = at_one(machine, minutes=60, setup=30, fixture="vise", fixture_setup_s=600, now=at(0))
    [run] = plan(case).operations
    assert (run.setup_s, run.end) == (600, at(70))
    assert end_later(case, run, at(0) + 1) == at(70)
    assert end_later(case, run, at(30)) == at(70)


def runs_to_ask_about(known: Shop, planned: tuple[PlannedRun, ...]) -> Iterator[PlannedRun]:
    """Yield the new runs at stations but those that may have gone in beside another on a second pallet."""
    pallets = {each.key: each.pallets for each in known.stations}
    steps = {each.key: each.operations for each in known.lots}
    for run in planned:
        beside = isinstance(steps[run.lot][run.index].taking, PalletLoad) and pallets.get(run.station or "", 0) > 1
        if run.station is not None and not run.under_way and not beside and run.end > run.start:
            yield run


def draw_long_runs(seed: int) -> Shop:
    """Return a shop of many pieces, many stations that go on alone, and in every second one only the first crew."""
    drawn = draw_shop(seed, lots=5, operations=3)
    lots = (
        replace(each, operations=(replace(first, waiting=8 * first.waiting), *rest))
        for each in drawn.lots
        for first, *rest in [each.operations]
    )
    stations = tuple(
        replace(each, over_closed=OverClosed.UNATTENDED) if each.unattended_s else each for each in drawn.stations
    )
    return replace(drawn, lots=tuple(lots), stations=stations, people=drawn.people and drawn.people[: 2 - seed % 2])


@pytest.mark.parametrize("seed", range(12))
def test_a_run_of_any_plan_ends_when_it_was_planned_to(seed: int) -> None:
    known = draw_long_runs(seed)
    asked = list(runs_to_ask_about(known, plan_of_arrays(decode(known)).operations))
    assert asked
    longest = sorted(asked, key=lambda run: run.start - run.end)
    for place, run in enumerate(longest[:6]):
        now = (run.start + 1, (run.start + run.end) // 2, run.end - 1)[place % 3]
        assert end_later(known, run, now) == run.end, run


def hours_of(known: Shop, run: PlannedRun) -> tuple[Station, WorkHours]:
    """Return the station of a run, and its hours."""
    at_work = next(each for each in known.stations if each.key == run.station)
    return at_work, WorkHours.of(at_work, None if known.people is None else People(known.people))


def counts_of(known: Shop, run: PlannedRun) -> Iterator[tuple[int, int, int]]:
    """Yield so many pieces of a run that are done before the last, when, and the seconds behind it by then."""
    machine, hours = hours_of(known, run)
    taking = next(each for each in known.lots if each.key == run.lot).operations[run.index].taking
    for pieces in range(1, run.pieces):
        work_s = seconds(done_ms(taking, machine, pieces, run.pieces))
        yield pieces, hours.end(run.start, run.setup_s, work_s), run.setup_s + work_s


def end_after_every_count(known: Shop, run: PlannedRun, counts: Iterable[tuple[int, int, int]]) -> set[int]:
    """Return the ends of a run planned again as pieces of it are counted, with and without what is behind it told."""
    return {
        end_later(known, run, now, counted=counted, **told)
        for counted, now, behind_s in counts
        for told in ({}, {"worked_s": behind_s})
    }


TENDED = PalletLoad(2, 600_000, load_ms=240_000, unload_ms=120_000)
TWO = station("M", pallets=2, pallet_change_ms=60_000, pace=125, calendar=DAYS)


@pytest.mark.parametrize("machine", [replace(TWO, pallets=1), TWO, replace(TWO, over_closed=OverClosed.UNATTENDED)])
@pytest.mark.parametrize("taking", [single(7.5), BarFed(3, 450_000, 300_000), TENDED])
def test_a_count_changes_no_plan_that_it_agrees_with(machine: Station, taking: Taking) -> None:
    """Eleven pieces, begun an hour and a half before closing."""
    step = operation("10", taking, waiting=11, setup=30)
    known = shop([replace(machine, unattended_s=1800)], lot("L", step), now=at(12 * 60 + 30))
    [run] = plan(known).operations
    counts = list(counts_of(known, run))
    assert len(counts) == 10
    assert end_after_every_count(known, run, counts) == {run.end}


@pytest.mark.parametrize("seed", range(12))
def test_a_run_of_any_plan_ends_when_it_was_planned_to_whatever_is_counted_meanwhile(seed: int) -> None:
    known = draw_long_runs(seed)
    planned = plan_of_arrays(decode(known)).operations
    several = [run for run in runs_to_ask_about(known, planned) if run.pieces > 1]
    assert several
    for place, run in enumerate(several[:6]):
        counts = list(counts_of(known, run))
        assert end_after_every_count(known, run, [counts[(7 * place) % len(counts)]]) == {run.end}, run


@MANY
@given(calendars(at(0)), TAKINGS, st.integers(2, 12), st.integers(1, 2), st.sampled_from([70, 100, 140]), st.data())
def test_any_run_ends_when_it_was_planned_to_whatever_is_counted_meanwhile(
    hours: WorkCalendar, taking: Taking, pieces: int, pallets: int, pace: int, data: st.DataObject
) -> None:
    machine = station("M", calendar=hours, pallets=pallets, pallet_change_ms=61_000, pace=pace)
    known = shop([machine], lot("L", operation("10", taking, waiting=pieces, setup=data.draw(st.integers(0, 90)))))
    [run] = plan(known).operations
    counts = data.draw(st.sampled_from(list(counts_of(known, run))))
    assert end_after_every_count(known, run, [counts]) == {run.end}


@MANY
@given(calendars(at(0)), st.tuples(TAKINGS, TAKINGS), st.tuples(st.integers(1, 9), st.integers(1, 9)), st.data())
def test_two_loads_under_way_end_when_they_were_planned_to(
    hours: WorkCalendar, takings: tuple[Taking, Taking], pieces: tuple[int, int], data: st.DataObject
) -> None:
    """Both begun before the plan was made; what was planned to be over is over."""
    first = at(20 * 60)  # Monday 14:00 in Chicago
    begun = sorted(data.draw(st.tuples(*2 * [st.integers(first - 10 * HOUR, first - 1)])))
    setups = data.draw(st.tuples(*2 * [st.sampled_from([0, 25, 90])]))
    machine = station("M", calendar=hours, pallets=2, pallet_change_ms=61_000)

    def with_jobs(now: int, counted: tuple[int, int]) -> Shop:
        jobs = (
            OpenJob("M", all_pieces - done, start, in_setup=setup > 0, counted=done)
            for all_pieces, start, setup, done in zip(pieces, begun, setups, counted, strict=True)
        )
        steps = zip(takings, setups, jobs, strict=True)
        lots = (
            lot(f"L{n}", operation("10", taking, setup=setup, open_jobs=(job,)))
            for n, (taking, setup, job) in enumerate(steps)
        )
        return shop([machine], *lots, now=now)

    planned = [run.end for run in plan(with_jobs(first, (0, 0))).operations]
    now = data.draw(st.integers(first, max(planned)))
    counted = data.draw(st.tuples(*(st.integers(0, each - 1) for each in pieces)))
    again = with_jobs(now, counted)
    found = plan(again)
    assert check(again, found) == ()
    assert [run.end for run in found.operations] == [max(now, end) for end in planned]
