"""Each move of the piece ledger, by hand."""

import pytest
import sqlalchemy as sa
from sqlalchemy import orm

from app.lots import errors
from app.lots.models import Entry, Job, JobState, Posting
from app.lots.queries.verify import differences
from app.lots.services import (
    Rework,
    Scrap,
    SignOff,
    begin,
    count_so_far,
    first_piece_good,
    hand_over,
    hold_lot,
    hold_pieces,
    pause,
    record_earlier,
    release_lot_hold,
    release_pieces,
    rework_pieces,
    run,
    scrap_pieces,
    send_ahead,
    ship_pieces,
    sign_off,
    split_lot,
    start_fewer,
    undo,
)
from tests.factories.lots import act, make_lot, make_routing, station_of, whereabouts
from tests.factories.people import PersonFactory


@pytest.fixture
def lot(session):
    return make_lot(session)


def at(operation, **more):
    return act(station_id=station_of(operation).id, **more)


def finish(session, lot, upto=None):
    """Sign off all pieces at each operation."""
    for operation in lot.operations[:upto]:
        begin(session, at(operation), [operation.id])
        sign_off(session, at(operation), [SignOff(operation.id, operation.in_work)])


def test_a_released_lot_waits_at_its_first_operation(session, lot):
    assert whereabouts(lot) == {"10 waiting": 50}
    assert lot.started == 50


def test_begin_takes_all_waiting_pieces_into_work_and_opens_a_job(session, lot):
    op = lot.operations[0]
    begin(session, at(op), [op.id], setup=True)
    job = session.scalars(sa.select(Job)).one()
    assert (whereabouts(lot), job.state, job.pieces) == ({"10 in_work": 50}, JobState.SETTING_UP, 50)


def test_a_job_runs_after_set_up_pauses_and_runs_again(session, lot):
    op = lot.operations[0]
    begin(session, at(op), [op.id], setup=True)
    for verb, state in ((run, JobState.RUNNING), (pause, JobState.PAUSED), (run, JobState.RUNNING)):
        verb(session, at(op), op.id)
        assert session.scalars(sa.select(Job.state)).one() is state


def test_sign_off_sends_good_pieces_on_and_keeps_scrap_with_its_cause(session, lot):
    first, second, _ = lot.operations
    finish(session, lot, upto=1)
    begin(session, at(second), [second.id])
    sign_off(session, at(second), [SignOff(second.id, 47, (Scrap(2, "chatter"), Scrap(1, "wrong face", first.id)))])
    assert whereabouts(lot) == {"20 scrapped": 3, "30 waiting": 47}
    causes = session.scalars(sa.select(Entry.cause_operation_id).where(Entry.cause_operation_id.is_not(None))).all()
    assert sorted(causes) == [first.id, second.id]
    assert session.scalars(sa.select(Job)).all() == []


def test_the_last_operation_finishes_into_stock_and_closes_the_lot(session, lot):
    finish(session, lot)
    assert whereabouts(lot) == {"in_stock": 50}
    assert lot.closed_at is not None


def test_pieces_not_named_stay_in_work(session, lot):
    op = lot.operations[0]
    begin(session, at(op), [op.id])
    sign_off(session, at(op), [SignOff(op.id, 20)])
    assert whereabouts(lot) == {"10 in_work": 30, "20 waiting": 20}
    assert session.scalars(sa.select(Job.pieces)).one() == 30


def test_counting_and_sending_ahead(session, lot):
    op = lot.operations[0]
    begin(session, at(op), [op.id])
    count_so_far(session, at(op), op.id, 25)
    assert whereabouts(lot) == {"10 in_work": 25, "10 counted": 25}
    count_so_far(session, at(op), op.id, 22)
    send_ahead(session, at(op), op.id, 20)
    assert whereabouts(lot) == {"10 in_work": 28, "10 counted": 2, "20 waiting": 20}


def test_rework_goes_back_passes_again_and_counts_once(session, lot):
    first, second, _ = lot.operations
    finish(session, lot, upto=1)
    begin(session, at(second), [second.id])
    sign_off(session, at(second), [SignOff(second.id, 45, rework=(Rework(5, first.id, "burr"),))])
    assert whereabouts(lot) == {"10 waiting": 5, "30 waiting": 45}
    assert [each.passed for each in lot.operations] == [45, 45, 0]
    finish(session, lot)
    assert whereabouts(lot) == {"in_stock": 50}


def test_held_pieces_stay_and_can_be_released_scrapped_or_reworked(session, lot):
    first, second, _ = lot.operations
    finish(session, lot, upto=1)
    hold_pieces(session, act(), second.id, 10, "wrong hardness?")
    release_pieces(session, act(), second.id, 4)
    scrap_pieces(session, act(), second.id, 3, "soft", first.id)
    rework_pieces(session, act(), second.id, 3, first.id, "harden again")
    assert whereabouts(lot) == {"10 waiting": 3, "20 waiting": 44, "20 scrapped": 3}


def test_holding_pieces_in_work_takes_them_from_the_job(session, lot):
    op = lot.operations[0]
    begin(session, at(op), [op.id])
    hold_pieces(session, at(op), op.id, 50, "crack found")
    assert whereabouts(lot) == {"10 held": 50}
    assert session.scalars(sa.select(Job)).all() == []


def test_a_lot_on_hold_refuses_work_until_it_is_released(session, lot):
    op = lot.operations[0]
    hold_lot(session, act(), lot.id, "customer asked to wait")
    with pytest.raises(errors.LotOnHoldError, match="customer asked to wait"):
        begin(session, at(op), [op.id])
    release_lot_hold(session, act(), lot.id)
    begin(session, at(op), [op.id])


def test_split_gives_pieces_a_lot_of_their_own(session, lot):
    finish(session, lot, upto=1)
    child = split_lot(session, act(), lot.operations[1].id, 20)
    assert (whereabouts(lot), whereabouts(child)) == ({"20 waiting": 30, "in_other_lots": 20}, {"20 waiting": 20})
    assert (lot.needed, child.needed, child.started, child.parent_id) == (30, 20, 20, lot.id)
    assert [each.passed for each in child.operations] == [20, 0, 0]


def test_starting_fewer_takes_back_pieces_whose_blanks_do_not_come(session):
    lot = make_lot(session, routing=make_routing(blanks=True))
    start_fewer(session, act(), lot.id, 8)
    assert (whereabouts(lot), lot.started) == ({"5 waiting": 42}, 42)
    with pytest.raises(errors.TooManyPiecesError):
        start_fewer(session, act(), lot.id, 43)


def test_a_split_may_not_take_every_piece(session, lot):
    with pytest.raises(errors.SplitError, match="Leave at least one"):
        split_lot(session, act(), lot.operations[0].id, 50)


def test_ship_takes_finished_pieces_only(session, lot):
    with pytest.raises(errors.TooManyPiecesError):
        ship_pieces(session, act(), lot.id, 1)
    finish(session, lot)
    ship_pieces(session, act(), lot.id, 50)
    assert whereabouts(lot) == {"shipped": 50}


def test_more_than_could_exist_is_refused_and_nothing_is_kept(session, lot):
    op = lot.operations[0]
    begin(session, at(op), [op.id])
    with pytest.raises(errors.TooManyPiecesError, match="51 pieces are more than can be there"):
        sign_off(session, at(op), [SignOff(op.id, 51)])
    assert whereabouts(lot) == {"10 in_work": 50}


def test_what_the_earlier_operation_still_has_is_offered_to_be_recorded_late(session, lot):
    first, second, third = lot.operations
    begin(session, at(first), [first.id])
    with pytest.raises(errors.EarlierNotSignedOffError) as refused:
        begin(session, at(third), [third.id])
    assert refused.value.missing == 50
    record_earlier(session, act(), third.id, 40)
    assert whereabouts(lot) == {"10 in_work": 10, "30 waiting": 40}
    assert [each.passed for each in (first, second)] == [40, 40]
    with pytest.raises(errors.TooManyPiecesError):
        record_earlier(session, act(), third.id, 11)


def test_recording_late_takes_from_the_nearest_operation_first(session, lot):
    first, _, third = lot.operations
    begin(session, at(first), [first.id])
    send_ahead(session, at(first), first.id, 30)
    record_earlier(session, act(), third.id, 35)
    assert whereabouts(lot) == {"10 in_work": 15, "30 waiting": 35}


def test_an_undone_sign_off_opens_the_job_again(session, lot):
    op = lot.operations[0]
    begin(session, at(op), [op.id])
    posting = sign_off(session, at(op), [SignOff(op.id, 50)])
    undo(session, act(), posting.id)
    assert whereabouts(lot) == {"10 in_work": 50}
    assert session.scalars(sa.select(Job.pieces)).one() == 50


def test_undo_is_refused_once_the_pieces_have_moved_on_and_says_where_they_are(session, lot):
    op = lot.operations[0]
    posting = sign_off(session, at(op), [SignOff(op.id, 50)])
    begin(session, at(lot.operations[1]), [lot.operations[1].id])
    with pytest.raises(errors.CannotUndoError, match="50 at op 20"):
        undo(session, act(), posting.id)


def test_an_entry_is_undone_once(session, lot):
    posting = hold_pieces(session, act(), lot.operations[0].id, 5, "look again")
    undo(session, act(), posting.id)
    with pytest.raises(errors.CannotUndoError, match="undone already"):
        undo(session, act(), posting.id)


def test_undoing_a_lots_hold_lets_it_go_on(session, lot):
    posting = hold_lot(session, act(), lot.id, "by mistake")
    undo(session, act(), posting.id)
    assert not lot.on_hold


def test_the_same_key_with_the_same_content_answers_what_was_kept(session, lot):
    op = lot.operations[0]
    once = at(op)
    first = begin(session, once, [op.id])
    assert begin(session, once, [op.id]).id == first.id
    assert session.scalars(sa.select(sa.func.count(Posting.id))).one() == 2


def test_the_same_key_with_other_content_is_refused(session, lot):
    op = lot.operations[0]
    once = at(op)
    sign_off(session, once, [SignOff(op.id, 10)])
    with pytest.raises(errors.KeyReusedError, match="already recorded"):
        sign_off(session, once, [SignOff(op.id, 11)])


def test_a_full_station_is_refused_and_a_paused_job_frees_its_pallet(session, lot):
    op = lot.operations[0]
    other = make_lot(session, routing=make_routing())
    there = act(station_id=station_of(op).id)
    begin(session, there, [op.id])
    with pytest.raises(errors.StationFullError):
        begin(session, at(op), [other.operations[0].id], anyway=True)
    pause(session, at(op), op.id)
    begin(session, at(op), [other.operations[0].id], anyway=True)


def test_the_wrong_station_is_said_and_may_be_insisted_on(session, lot):
    op, other = lot.operations[0], lot.operations[1]
    with pytest.raises(errors.WrongStationError):
        begin(session, at(other), [op.id])
    begin(session, at(other), [op.id], anyway=True)


def test_a_run_that_needs_a_good_first_piece_is_not_signed_off_without(session):
    lot = make_lot(session, routing=make_routing(operations=1, first_piece=True))
    op = lot.operations[0]
    begin(session, at(op), [op.id])
    with pytest.raises(errors.FirstPieceError):
        sign_off(session, at(op), [SignOff(op.id, 50)])
    first_piece_good(session, at(op), op.id)
    sign_off(session, at(op), [SignOff(op.id, 50)])


def test_a_job_can_be_handed_over(session, lot):
    op = lot.operations[0]
    early, late = PersonFactory(), PersonFactory()
    begin(session, at(op, person_id=early.id), [op.id])
    hand_over(session, at(op, person_id=late.id), op.id)
    assert session.scalars(sa.select(Job.person_id)).one() == late.id


@pytest.mark.parametrize("change", ["UPDATE entry SET quantity = 1", "DELETE FROM posting", "DELETE FROM entry"])
def test_the_database_refuses_to_change_the_ledger(engine, session, lot, change):
    with pytest.raises(sa.exc.DBAPIError, match="the piece ledger only grows"), orm.Session(engine) as other:
        other.execute(sa.text(change))


def test_verify_names_a_count_that_is_not_what_the_ledger_says(session, lot):
    assert list(differences(session)) == []
    lot.operations[0].waiting = 49
    session.commit()
    assert [str(each) for each in differences(session)] == [
        "lot L00001O op 10 Step 1: waiting is 49, the ledger says 50"
    ]
