"""A released lot changes: operations added, skipped, wanted again, moved, another revision; and the forecast."""

from dataclasses import replace

import pytest

from app.lots.errors import ChangeError, OperationNotFoundError, ReasonMissingError, SkippedError
from app.lots.models import Lot, LotOperation, Verb
from app.lots.queries import changes_of, get_lot, ledger_of
from app.lots.queries.verify import differences
from app.lots.services import (
    NewOperation,
    SignOff,
    Way,
    add_operation,
    begin,
    change_way,
    move_operation,
    move_to_revision,
    note_print,
    record_earlier,
    rework_pieces,
    sign_off,
    skip_operation,
    split_lot,
    undo,
    want_operation,
)
from app.parts.models import KindRole, Taking
from tests.factories.lots import act, make_lot, make_routing, station_of, whereabouts
from tests.factories.parts import OperationKindFactory, RevisionFactory, RoutingFactory, RoutingOperationFactory
from tests.factories.schedule import plan_now, runs_of
from tests.factories.stations import ShopFactory, StationFactory


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


@pytest.fixture
def lot(session) -> Lot:
    return make_lot(session, pieces=20)


def because(why: str = "scratches"):
    return replace(act(), note=why)


def polish(after: LotOperation | None, like: LotOperation, **more) -> NewOperation:
    facts = {"title": "Polish", "kind_id": like.kind_id, "work_center_id": like.work_center_id, "cycle_ms": 60_000}
    return NewOperation(after_id=after.id if after else None, **{**facts, **more})


def order(session, lot: Lot) -> list[str]:
    session.expire_all()
    return [
        f"{each.number} {each.title}{' skipped' if each.skipped else ''}"
        for each in get_lot(session, lot.id).operations
    ]


def clean(session) -> bool:
    session.expire_all()
    return list(differences(session)) == []


def test_what_is_split_over_stations_is_begun_in_even_parts_and_planned_so(session, lot):
    first = lot.operations[0]
    usual, spare = station_of(first), StationFactory(work_center=first.work_center, name="Spare")
    change_way(session, because(), lot.id, first.id, Way(2))
    begin(session, act(station_id=usual.id), [first.id])
    assert whereabouts(lot) == {"10 waiting": 10, "10 in_work": 10}
    begin(session, act(station_id=spare.id), [first.id])
    assert whereabouts(lot) == {"10 in_work": 20}
    assert changes_of(session, lot.id)[0].words == "op 10 Step 1: split over 2 stations"
    assert clean(session)


@pytest.mark.parametrize(
    ("way", "sentence"),
    [(Way(2), "has 1 stations in use"), (Way(0), "choose no more"), (Way(1, 0), "is done so already")],
)
def test_a_way_that_cannot_be_is_refused(session, lot, way, sentence):
    with pytest.raises(ChangeError, match=sentence):
        change_way(session, because(), lot.id, lot.operations[0].id, way)


def test_an_added_operation_falls_between_and_pieces_that_wait_after_it_come_back_to_it(session, lot):
    first, second, _third = lot.operations
    sign_off(session, act(), [SignOff(first.id, 20)])
    add_operation(session, because(), lot.id, polish(first, second))
    assert order(session, lot) == ["10 Step 1", "15 Polish", "20 Step 2", "30 Step 3"]
    assert whereabouts(lot) == {"15 waiting": 20}
    sign_off(session, act(), [SignOff(lot.operations[1].id, 20)])
    assert whereabouts(lot) == {"20 waiting": 20}
    assert [each.passed for each in lot.operations] == [20, 20, 0, 0]
    assert clean(session)


def test_one_added_at_the_end_or_before_all(session, lot):
    add_operation(session, because(), lot.id, polish(lot.operations[-1], lot.operations[0]))
    add_operation(session, because(), lot.id, polish(None, lot.operations[0], title="Mark"))
    assert order(session, lot) == ["5 Mark", "10 Step 1", "20 Step 2", "30 Step 3", "40 Polish"]
    assert whereabouts(lot) == {"5 waiting": 20}
    assert clean(session)


def test_skipped_operations_are_kept_and_pieces_pass_over_them(session, lot):
    first, second, _third = lot.operations
    skip_operation(session, because("customer takes them raw"), lot.id, second.id)
    sign_off(session, act(), [SignOff(first.id, 20)])
    assert whereabouts(lot) == {"30 waiting": 20}
    assert order(session, lot)[1] == "20 Step 2 skipped"
    with pytest.raises(SkippedError, match="not to be done any more"):
        begin(session, act(station_id=station_of(second).id), [second.id])
    assert clean(session)


def test_pieces_that_wait_at_a_skipped_operation_go_on_and_come_back_when_it_is_done_after_all(session, lot):
    first, second, _third = lot.operations
    sign_off(session, act(), [SignOff(first.id, 20)])
    skip_operation(session, because(), lot.id, second.id)
    assert whereabouts(lot) == {"30 waiting": 20}
    want_operation(session, because(), lot.id, second.id)
    assert whereabouts(lot) == {"20 waiting": 20}
    assert [each.passed for each in lot.operations] == [20, 0, 0]
    assert clean(session)


def test_the_last_operation_can_be_skipped_while_pieces_are_before_it(session, lot):
    _first, second, third = lot.operations
    skip_operation(session, because(), lot.id, third.id)
    record_earlier(session, act(), second.id, 20)
    sign_off(session, act(), [SignOff(second.id, 20)])
    assert whereabouts(lot) == {"in_stock": 20}
    assert clean(session)


def test_the_last_operation_can_be_skipped_while_all_before_it_are_begun(session, lot):
    first, second, third = lot.operations
    sign_off(session, act(), [SignOff(first.id, 15)])
    begin(session, act(station_id=station_of(second).id), [second.id])
    skip_operation(session, because(), lot.id, third.id)
    sign_off(session, act(), [SignOff(second.id, 15)])
    assert whereabouts(lot) == {"10 waiting": 5, "in_stock": 15}
    assert clean(session)


def test_an_operation_moves_and_its_number_falls_between(session, lot):
    first, second, third = lot.operations
    sign_off(session, act(), [SignOff(first.id, 20)])
    move_operation(session, because("press is down"), lot.id, second.id, third.id)
    assert order(session, lot) == ["10 Step 1", "30 Step 3", "40 Step 2"]
    assert whereabouts(lot) == {"30 waiting": 20}
    move_operation(session, because("press runs again"), lot.id, second.id, first.id)
    assert order(session, lot) == ["10 Step 1", "20 Step 2", "30 Step 3"]
    assert whereabouts(lot) == {"20 waiting": 20}
    assert clean(session)


def test_pieces_sent_back_before_a_change_pass_all_of_it_again(session, lot):
    first, second, third = lot.operations
    for each in (first, second):
        sign_off(session, act(), [SignOff(each.id, 20)])
    rework_pieces(session, act(), third.id, 20, first.id, "too thick")
    add_operation(session, because(), lot.id, polish(first, second))
    sign_off(session, act(), [SignOff(first.id, 20)])
    assert whereabouts(lot) == {"15 waiting": 20}
    assert clean(session)


@pytest.fixture
def newer(session, lot):
    """Return a newer revision of the lot's part, whose routing has four operations."""
    revision = RevisionFactory(part=lot.revision.part, label="B")
    make_routing(operations=4, revision=revision, taking=Taking.SINGLE)
    session.commit()
    return revision


def test_from_an_operation_on_the_rest_is_that_of_another_revision(session, lot, newer):
    first, second, _third = lot.operations
    sign_off(session, act(), [SignOff(first.id, 20)])
    old_codes = {each.code_number for each in lot.operations}
    move_to_revision(session, because("hole is bigger now"), lot.id, newer.id, second.id)
    assert order(session, lot) == ["10 Step 1", "20 Step 2", "30 Step 3", "40 Step 4"]
    changed = get_lot(session, lot.id)
    assert changed.revision_id == newer.id
    assert whereabouts(changed) == {"20 waiting": 20}
    assert not {each.code_number for each in changed.operations[1:]} & old_codes
    for each in changed.operations[1:]:
        sign_off(session, act(), [SignOff(each.id, 20)])
    assert whereabouts(changed) == {"in_stock": 20}
    [change] = changes_of(session, lot.id)
    assert change.words.startswith("revision A → B: op 20 Step 2, op 30 Step 3 replaced by op 20 Step 2")
    assert change.reason == "hole is bigger now"
    assert clean(session)


def test_an_entry_from_before_a_change_is_not_undone_into_what_was_removed(session, lot, newer):
    first, second, _third = lot.operations
    posting = sign_off(session, act(), [SignOff(first.id, 20)])
    move_to_revision(session, because(), lot.id, newer.id, second.id)
    with pytest.raises(Exception, match="its operation there was removed"):
        undo(session, act(), posting.id)
    assert clean(session)


def test_a_split_lot_takes_the_changes_along(session, lot):
    skip_operation(session, because(), lot.id, lot.operations[1].id)
    child = split_lot(session, act(), lot.operations[0].id, 5)
    assert order(session, child)[1] == "20 Step 2 skipped"


def refused(session, lot, change, match):
    before = whereabouts(lot), order(session, lot)
    with pytest.raises((ChangeError, OperationNotFoundError), match=match):
        change()
    session.rollback()
    assert (whereabouts(lot), order(session, lot)) == before


def test_what_is_begun_stays_as_it_is(session, lot, newer):
    first, second, third = lot.operations
    sign_off(session, act(), [SignOff(first.id, 20)])
    begin(session, act(station_id=station_of(second).id), [second.id])
    session.commit()
    for change, match in (
        (lambda: skip_operation(session, because(), lot.id, second.id), "Op 20 is begun"),
        (lambda: move_operation(session, because(), lot.id, second.id, third.id), "Op 20 is begun"),
        (lambda: move_operation(session, because(), lot.id, third.id, first.id), "Choose a place after it"),
        (lambda: add_operation(session, because(), lot.id, polish(first, first)), "Choose a place after it"),
        (lambda: move_to_revision(session, because(), lot.id, newer.id, second.id), "Op 20 is begun"),
    ):
        refused(session, lot, change, match)


def test_what_makes_no_sense_is_refused_with_the_reason(session, lot, newer):
    first, second, third = lot.operations
    other = make_lot(session)
    nothing = RevisionFactory(part=lot.revision.part, label="C")
    RoutingOperationFactory(routing=RoutingFactory(revision=nothing), number=5)
    blanks = OperationKindFactory(name="Order", role=KindRole.BLANKS)
    skip_operation(session, because(), lot.id, third.id)
    session.commit()
    for change, match in (
        (lambda: skip_operation(session, because(), lot.id, third.id), "skipped already"),
        (lambda: want_operation(session, because(), lot.id, second.id), "not skipped"),
        (lambda: move_operation(session, because(), lot.id, second.id, first.id), "stands there already"),
        (lambda: move_operation(session, because(), lot.id, second.id, second.id), "stands there already"),
        (lambda: skip_operation(session, because(), lot.id, other.operations[0].id), "no operation"),
        (lambda: move_to_revision(session, because(), lot.id, lot.revision_id, second.id), "newest routing"),
        (lambda: move_to_revision(session, because(), lot.id, other.revision_id, second.id), "another part"),
        (lambda: move_to_revision(session, because(), lot.id, nothing.id, second.id), "no operation from number 20"),
        (lambda: add_operation(session, because(), lot.id, polish(first, first, kind_id=blanks.id)), "ordered once"),
        (lambda: add_operation(session, because(), lot.id, polish(first, first, work_center_id=None)), "work center"),
    ):
        refused(session, lot, change, match)
    with pytest.raises(ReasonMissingError):
        skip_operation(session, because(" "), lot.id, second.id)


def test_no_operation_is_left_without_one_for_the_pieces_that_wait(session, lot):
    first, second, third = lot.operations
    for each in (first, second):
        sign_off(session, act(), [SignOff(each.id, 20)])
    session.commit()
    refused(session, lot, lambda: skip_operation(session, because(), lot.id, third.id), "No operation would be left")


def test_when_no_number_is_free_another_place_is_asked_for(session, lot):
    first = lot.operations[0]
    for _ in range(3):
        add_operation(session, because(), lot.id, polish(first, first))
    session.commit()
    assert [each.number for each in lot.operations[:4]] == [10, 11, 12, 15]
    refused(session, lot, lambda: add_operation(session, because(), lot.id, polish(first, first)), "after op 10")


def test_the_ledger_keeps_who_changed_what_and_why_and_the_same_key_changes_once(session, lot):
    circumstances = because("burrs")
    for _ in range(2):
        skip_operation(session, circumstances, lot.id, lot.operations[1].id)
    changes = [each for each in ledger_of(session, lot.id) if each.verb is Verb.CHANGE_LOT]
    assert [each.reason for each in changes] == ["burrs"]
    assert changes[0].entries[0].reason == "op 20 Step 2 skipped"


def test_the_forecast_leaves_out_what_is_skipped_and_plans_what_is_added(session, lot, clock):
    first, second, _third = lot.operations
    skip_operation(session, because(), lot.id, second.id)
    add_operation(session, because(), lot.id, polish(lot.operations[-1], first))
    session.commit()
    plan_now(session, clock.now)
    assert [run.operation.title for run in runs_of(session, lot)] == ["Step 1", "Step 3", "Polish"]


def test_prints_from_before_a_change_are_older_than_the_lot(session, lot):
    assert note_print(session, act(), lot.id).issue == 1
    skip_operation(session, because(), lot.id, lot.operations[1].id)
    assert note_print(session, act(), lot.id).issue == 2
