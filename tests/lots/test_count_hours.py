"""How long stations ran: counted from the ledger a little at a time, the same as counted at once."""

from datetime import timedelta

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, Phase, example, given, settings
from hypothesis import strategies as st

from app.lots.models import HoursCount, StationDay, StationHours
from app.lots.queries.hours import run_seconds
from app.lots.queries.verify_hours import hour_differences
from app.lots.services import SignOff, begin, count_hours, pause, run, sign_off, undo
from tests.factories.lots import MORNING, act, make_lot, make_routing, station_of
from tests.factories.stations import ShopFactory, StationFactory

HOUR = timedelta(hours=1)


@pytest.fixture
def lot(session):
    ShopFactory()
    return make_lot(session)


def later(hours: float, **more):
    moment = MORNING + timedelta(hours=hours)
    return act(happened_at=moment, recorded_at=moment, **more)


def hours_of(session, station) -> float:
    session.rollback()
    return run_seconds(session).get(station.id, 0) / 3600


def test_set_up_and_run_count_pauses_do_not(session, lot):
    first = lot.operations[0]
    here = station_of(first)
    begin(session, later(0, station_id=here.id), [first.id], setup=True)
    run(session, later(1, station_id=here.id), first.id)
    pause(session, later(3, station_id=here.id), first.id)
    run(session, later(5, station_id=here.id), first.id)
    sign_off(session, later(6, station_id=here.id), [SignOff(first.id, 50)])
    assert count_hours(session, MORNING + 7 * HOUR)
    assert hours_of(session, here) == 4
    assert list(hour_differences(session)) == []
    assert not count_hours(session, MORNING + 8 * HOUR)  # nothing is new


def test_a_job_left_open_counts_on_in_open_hours_only(session, lot):
    """Open 06:00 to 18:00 in Chicago; begun at 09:00, still running at 10:00 the next day: 9 h and 4 h."""
    first = lot.operations[0]
    here = station_of(first)
    begin(session, later(0, station_id=here.id), [first.id])
    count_hours(session, MORNING + HOUR)
    assert hours_of(session, here) == 1
    count_hours(session, MORNING + 25 * HOUR)
    assert hours_of(session, here) == 9 + 4
    days = session.execute(sa.select(StationDay.busy_seconds).order_by(StationDay.day)).scalars().all()
    assert [seconds / 3600 for seconds in days] == [15, 10]
    assert list(hour_differences(session)) == []


def test_two_jobs_at_once_count_once(session, lot):
    first = lot.operations[0]
    here = station_of(first)
    here.pallets = 2
    session.commit()
    other = make_lot(session)
    begin(session, later(0, station_id=here.id), [first.id])
    begin(session, later(1, station_id=here.id), [other.operations[0].id], anyway=True)
    sign_off(session, later(2, station_id=here.id), [SignOff(first.id, 50)])
    sign_off(session, later(3, station_id=here.id), [SignOff(other.operations[0].id, 50)])
    count_hours(session, MORNING + 4 * HOUR)
    assert hours_of(session, here) == 3


def test_what_is_undone_after_it_was_counted_is_taken_back(session, lot):
    first = lot.operations[0]
    here = station_of(first)
    wrong = begin(session, later(0, station_id=here.id), [first.id])
    count_hours(session, MORNING + 2 * HOUR)
    assert hours_of(session, here) == 2
    undo(session, later(2, station_id=here.id), wrong.id)
    count_hours(session, MORNING + 3 * HOUR)
    assert hours_of(session, here) == 0
    assert list(hour_differences(session)) == []


def test_what_is_recorded_late_counts_on_its_day(session, lot):
    first = lot.operations[0]
    here = station_of(first)
    other = make_lot(session)
    begin(session, later(48, station_id=here.id), [other.operations[0].id], anyway=True)
    sign_off(session, later(49, station_id=here.id), [SignOff(other.operations[0].id, 50)])
    count_hours(session, MORNING + 50 * HOUR)
    begin(session, act(happened_at=MORNING, recorded_at=MORNING + 50 * HOUR, station_id=here.id), [first.id])
    pause(session, act(happened_at=MORNING + HOUR, recorded_at=MORNING + 50 * HOUR, station_id=here.id), first.id)
    count_hours(session, MORNING + 51 * HOUR)
    assert hours_of(session, here) == 2
    assert len(session.scalars(sa.select(StationDay)).all()) == 2


def test_verify_finds_hours_that_nobody_ran(session, lot):
    first = lot.operations[0]
    here = station_of(first)
    begin(session, later(0, station_id=here.id), [first.id])
    sign_off(session, later(1, station_id=here.id), [SignOff(first.id, 50)])
    count_hours(session, MORNING + 2 * HOUR)
    session.get_one(StationHours, here.id).run_seconds += 60
    session.scalars(sa.select(StationDay)).one().busy_seconds += 5
    session.commit()
    found = [str(each) for each in hour_differences(session)]
    assert len(found) == 2
    assert "seconds run is 3660, the ledger says 3600" in found[0]
    assert "busy seconds is 3605, the ledger says 3600" in found[1]


def test_counting_reads_no_more_when_the_history_grows(session, engine, lot):
    first = lot.operations[0]
    here = station_of(first)

    def statements(hour: float) -> int:
        seen = []

        def note(_connection, _cursor, statement, *_rest):
            seen.append(statement)

        count_hours(session, MORNING + timedelta(hours=hour))
        begin(session, later(hour, station_id=here.id), [first.id])
        pause(session, later(hour + 0.1, station_id=here.id), first.id)
        undo(
            session,
            later(hour + 0.2, station_id=here.id),
            session.scalars(sa.text("SELECT max(id) FROM posting")).one(),
        )
        undo(
            session,
            later(hour + 0.3, station_id=here.id),
            session.scalars(sa.text("SELECT max(id) - 2 FROM posting")).one(),
        )
        sa.event.listen(engine, "before_cursor_execute", note)
        count_hours(session, MORNING + timedelta(hours=hour + 0.5))
        sa.event.remove(engine, "before_cursor_execute", note)
        return len(seen)

    before = statements(1)
    assert [statements(24 * day) for day in range(1, 6)][-1] <= before + 1


@settings(
    max_examples=6, phases=[Phase.explicit, Phase.generate], suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@example(steps=[(195, False), (1, True), (724, False)])  # runs on over midnight after it was counted
@given(steps=st.lists(st.tuples(st.integers(1, 900), st.booleans()), min_size=1, max_size=6))
def test_counted_a_little_at_a_time_is_the_same_as_counted_at_once(session, steps):
    """Pauses and runs at any distance, counted or not in between: the total is what one count of all gives."""
    if not session.scalars(sa.text("SELECT count(*) FROM shop")).one():
        ShopFactory()
    lot = make_lot(session, routing=make_routing(operations=1))
    operation = lot.operations[0]
    here = StationFactory(work_center=operation.work_center)
    minute = 0.0
    begin(session, later(0, station_id=here.id), [operation.id])
    running = True
    for minutes, counted in steps:
        minute += minutes
        (pause if running else run)(session, later(minute / 60, station_id=here.id), operation.id)
        running = not running
        if counted:
            count_hours(session, MORNING + timedelta(minutes=minute + 1))
    until = MORNING + timedelta(minutes=minute + 2)
    count_hours(session, until)
    session.rollback()
    piecemeal = run_seconds(session).get(here.id, 0)
    # the other examples' stations stand in the same database, later than this one's present
    assert [each for each in hour_differences(session) if each.where.startswith(here.name + " ")] == []
    for table in (HoursCount, StationDay, StationHours):
        session.execute(sa.delete(table))
    session.commit()
    count_hours(session, until)
    session.rollback()
    assert run_seconds(session).get(here.id, 0) == piecemeal
