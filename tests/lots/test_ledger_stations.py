"""What the ledger keeps apart where an operation runs at two stations, and what a station may run at once."""

import pytest
import sqlalchemy as sa

from app.lots import errors
from app.lots.models import Job, JobState
from app.lots.queries.jobs import counted_by_station
from app.lots.queries.verify import differences
from app.lots.services import (
    ComponentSource,
    SignOff,
    begin,
    count_so_far,
    hold_lot,
    pause,
    run,
    send_ahead,
    sign_off,
    undo,
    use_component,
)
from app.stations.models import Downtime
from tests.factories.lots import act, make_lot, make_routing, station_of, whereabouts
from tests.factories.stations import StationFactory


@pytest.fixture
def lot(session):
    return make_lot(session)


def at(operation, **more):
    return act(station_id=station_of(operation).id, **more)


def test_each_station_counts_its_own_pieces(session):
    lot = make_lot(session, routing=make_routing(operations=2))
    first, second = lot.operations
    sister = StationFactory(work_center=second.work_center)
    begin(session, at(first), [first.id])
    send_ahead(session, at(first), first.id, 20)
    begin(session, at(second), [second.id])
    sign_off(session, at(first), [SignOff(first.id, 30)])
    begin(session, act(station_id=sister.id), [second.id])
    count_so_far(session, at(second), second.id, 12)
    count_so_far(session, act(station_id=sister.id), second.id, 5)
    home = station_of(second).id
    assert counted_by_station(session, [second.id]) == {(second.id, home): 12, (second.id, sister.id): 5}
    assert whereabouts(lot) == {"20 in_work": 33, "20 counted": 17}
    sign_off(session, act(station_id=sister.id), [SignOff(second.id, 30)])
    assert counted_by_station(session, [second.id]) == {(second.id, home): 12}
    assert list(differences(session)) == []


def test_counting_again_replaces_the_count_before(session, lot):
    op = lot.operations[0]
    begin(session, at(op), [op.id])
    count_so_far(session, at(op), op.id, 25)
    posting = count_so_far(session, at(op), op.id, 30)
    assert whereabouts(lot) == {"10 in_work": 20, "10 counted": 30}
    undo(session, act(), posting.id)
    assert whereabouts(lot) == {"10 in_work": 25, "10 counted": 25}


def test_a_paused_job_runs_again_only_where_a_pallet_is_free(session, lot):
    op = lot.operations[0]
    other = make_lot(session, routing=make_routing())
    begin(session, at(op), [op.id])
    pause(session, at(op), op.id)
    begin(session, at(op), [other.operations[0].id], anyway=True)
    with pytest.raises(errors.StationFullError):
        run(session, at(op), op.id)
    pause(session, at(op), other.operations[0].id)
    run(session, at(op), op.id)
    states = session.scalars(sa.select(Job.state).order_by(Job.operation_id)).all()
    assert states == [JobState.RUNNING, JobState.PAUSED]


def test_a_job_of_a_lot_on_hold_can_be_paused_but_not_run_again(session, lot):
    op = lot.operations[0]
    begin(session, at(op), [op.id])
    hold_lot(session, act(), lot.id, "crack in the first piece")
    pause(session, at(op), op.id)
    with pytest.raises(errors.LotOnHoldError):
        run(session, at(op), op.id)


def test_a_guessed_end_of_a_downtime_that_has_passed_does_not_make_the_station_run(session, lot, now):
    op = lot.operations[0]
    session.add(
        Downtime(
            station_id=station_of(op).id,
            starts_at=now.replace(hour=6),
            ends_at=now.replace(hour=9),
            end_is_guess=True,
        )
    )
    session.commit()
    with pytest.raises(errors.StationDownError):
        begin(session, at(op), [op.id])


def test_what_is_recorded_late_names_the_operation_it_is_wanted_at(session, lot):
    third = lot.operations[2]
    with pytest.raises(errors.EarlierNotSignedOffError) as refused:
        begin(session, at(third), [third.id])
    assert (refused.value.operation_id, refused.value.missing) == (third.id, 50)


@pytest.mark.parametrize("pieces", [0, -1])
def test_no_component_is_no_use(session, lot, pieces):
    giver = make_lot(session)
    with pytest.raises(errors.NothingHereError):
        use_component(session, act(), lot.operations[0].id, ComponentSource(lot_id=giver.id), pieces)


@pytest.mark.filterwarnings("error::sqlalchemy.exc.SAWarning")
def test_a_session_that_saw_a_job_end_opens_the_next_one_afresh(session):
    first, second = make_lot(session).operations[0], make_lot(session).operations[0]
    begin(session, act(station_id=station_of(first).id), [first.id])
    held = session.scalars(sa.select(Job)).one()
    session.commit()
    sign_off(session, act(station_id=station_of(first).id), [SignOff(first.id, 50)])
    assert held not in session
    begin(session, act(station_id=station_of(second).id), [second.id])
    assert session.scalars(sa.select(Job.operation_id)).all() == [second.id]
