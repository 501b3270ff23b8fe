"""Taking readings: exact, questioned where they look like a slip, kept once, and refused where they cannot be."""

from datetime import date
from decimal import Decimal

import pytest
import sqlalchemy as sa

from app.core.quality.tolerances import Standing
from app.core.worktime import Span
from app.lots.errors import EntryRefusedError
from app.lots.models import LotOperation
from app.lots.services import SignOff, count_so_far, run, sign_off
from app.parts.models import CharacteristicKind, FrequencyKind
from app.quality import queries
from app.quality.errors import (
    AnswerMissingError,
    FarOutError,
    FirstPieceNotGoodError,
    GaugeBlockedError,
    GaugeMissingError,
    MayNotWaiveError,
    MeasuringRefusedError,
    NoSuchMeasuringError,
    NoSuchPieceError,
    NothingMissingError,
    NotMadeError,
    SameKeyError,
    SerialMissingError,
    SignedOffError,
    WhyMissingError,
)
from app.quality.models import Condition, Nonconformance, Reading, WhenOverdue
from app.quality.queries.pieces import joined
from app.quality.services import NewReading, record_reading, refuse_run, say_all_checked, strike_reading, waive_readings
from tests.factories.people import PersonFactory
from tests.factories.quality import GaugeFactory, GaugeKindFactory
from tests.factories.stations import ShopFactory
from tests.quality.measured import AtStation, measured_lot

NONE_WAITS = {"checking_kind": FrequencyKind.FIRST_AND_LAST, "recording_kind": FrequencyKind.FIRST_AND_LAST}
NO_BURRS = {"kind": CharacteristicKind.ATTRIBUTE, "nominal": None, "lower": None, "upper": None, "places": 0}


@pytest.fixture
def station(session):
    return AtStation(session, measured_lot(session)).begin()


def readings(session):
    session.rollback()
    return session.scalars(sa.select(Reading).order_by(Reading.id)).all()


def test_a_reading_keeps_the_digits_that_were_typed(session, station):
    recorded = station.read("0.50010")
    assert (recorded.reading.value, recorded.reading.typed) == (Decimal("0.5001"), "0.50010")
    assert (recorded.reading.piece, recorded.reading.standing) == (1, Standing.GOOD)
    assert recorded.nonconformance is None


def test_a_deviation_counts_in_the_last_place(station):
    assert station.read("-3", as_deviation=True).reading.typed == "0.4997"


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("abc", "is not one"),
        ("", "Type the reading first"),
        ("9" * 10_000, "at most 9 digits"),
        ("0.5001234567891", "at most 9 digits"),
        ("0,5001", "is not one"),
    ],
)
def test_what_is_no_number_is_refused(session, station, typed, sentence):
    with pytest.raises(MeasuringRefusedError, match=sentence):
        station.read(typed)
    assert readings(session) == []


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("12.702", "In the other unit it would be 0.50008"),
        ("5.001", "elsewhere it would be 0.5001"),
        ("7", "far outside"),
    ],
)
def test_a_slip_is_questioned_and_kept_once_somebody_is_sure(session, station, typed, meant):
    with pytest.raises(FarOutError, match=meant):
        station.read(typed)
    with pytest.raises(FarOutError):
        station.read(typed, sure="5.002")
    assert readings(session) == []
    recorded = station.read(typed, sure=typed)
    assert recorded.reading.questioned
    assert recorded.nonconformance is not None


def test_a_form_sent_twice_is_kept_once_and_one_with_another_value_is_refused(session, station):
    first = station.read("0.5001", key="a-key-of-a-form")
    assert station.read("0.5001", key="a-key-of-a-form").reading.id == first.reading.id
    with pytest.raises(SameKeyError, match="already recorded"):
        station.read("0.5002", key="a-key-of-a-form")
    assert len(readings(session)) == 1


def test_pieces_and_characteristics_that_are_not_there_are_refused(session, station):
    with pytest.raises(NoSuchPieceError, match="1 to 10"):
        station.read("0.5001", piece=11)
    other = measured_lot(session).operations[0].characteristics[0].id
    with pytest.raises(NoSuchMeasuringError):
        record_reading(session, station.act(), station.operation.id, NewReading(other, "0.5"))


def test_a_reading_for_an_operation_that_is_signed_off_is_refused(session, station):
    for piece in range(1, 11):
        station.read("0.5001", piece=piece)
    sign_off(session, station.act(), [SignOff(station.operation.id, 10)])
    with pytest.raises(SignedOffError, match="signed off at lot"):
        station.read("0.5001")


def test_a_reading_before_any_piece_has_come_is_refused(session):
    lot = measured_lot(session, {"operation_number": 20})
    station = AtStation(session, lot)
    second = session.get_one(LotOperation, lot.operations[1].id)
    with pytest.raises(NotMadeError):
        record_reading(session, station.act(), second.id, NewReading(second.characteristics[0].id, "0.5"))


def test_yes_or_no(session):
    station = AtStation(session, measured_lot(session, NO_BURRS)).begin()
    with pytest.raises(AnswerMissingError):
        station.read()
    assert station.read(met=True).reading.standing is Standing.GOOD
    bad = station.read(met=False, piece=2)
    assert bad.reading.standing is Standing.NOT_MET
    assert bad.nonconformance is not None


def test_a_serial_number_is_asked_for_where_the_plan_says_so(session):
    station = AtStation(session, measured_lot(session, {"asks_serial": True})).begin()
    with pytest.raises(SerialMissingError):
        station.read("0.5001")
    assert station.read("0.5001", serial="S-1").reading.serial == "S-1"


@pytest.mark.parametrize(
    ("facts", "why"),
    [
        ({"condition": None, "due_on": None}, "nothing is known"),
        ({"condition": Condition.OUT, "when_overdue": WhenOverdue.WARN}, "failed"),
        ({"due_on": date(2026, 1, 6)}, "overdue since"),
    ],
)
def test_a_gauge_that_must_not_be_used_is_blocked(session, facts, why):
    kind = GaugeKindFactory()
    gauge = GaugeFactory(kind=kind, **facts)
    station = AtStation(session, measured_lot(session, {"gauge_kind_id": kind.id})).begin()
    with pytest.raises(GaugeBlockedError, match=why):
        station.read("0.5001", gauge_id=gauge.id)
    with pytest.raises(GaugeMissingError):
        station.read("0.5001")


def test_an_overdue_gauge_is_taken_where_its_owner_chose_a_warning(session):
    kind = GaugeKindFactory()
    gauge = GaugeFactory(kind=kind, due_on=date(2026, 1, 6), when_overdue=WhenOverdue.WARN)
    station = AtStation(session, measured_lot(session, {"gauge_kind_id": kind.id})).begin()
    assert station.read("0.5001", gauge_id=gauge.id).reading.gauge_id == gauge.id


def test_a_sign_off_waits_for_its_readings_and_goes_through_with_them(session):
    station = AtStation(session, measured_lot(session, NONE_WAITS)).begin()
    result = [SignOff(station.operation.id, 10)]
    with pytest.raises(EntryRefusedError, match="A reading of 1 Bore is missing: piece 1, 10"):
        sign_off(session, station.act(), result)
    station.read("0.5001", piece=1)
    station.read("0.5000", piece=10)
    sign_off(session, station.act(), result)
    assert station.operation.passed == 10


def test_checked_more_often_than_recorded_asks_for_one_word(session):
    plan = {"recording_kind": FrequencyKind.FIRST_AND_LAST}
    station = AtStation(session, measured_lot(session, plan)).begin()
    for piece in (1, 10):
        station.read("0.5001", piece=piece)
    with pytest.raises(EntryRefusedError, match="Nobody has said yet that all pieces were checked"):
        sign_off(session, station.act(), [SignOff(station.operation.id, 10)])
    assert say_all_checked(session, station.act(), station.operation.id).pieces == 10
    sign_off(session, station.act(), [SignOff(station.operation.id, 10)])


def test_an_inspector_lets_it_go_on_with_a_reason_on_record(session):
    station = AtStation(session, measured_lot(session)).begin()
    operator, inspector = PersonFactory(roles=["operator"]), PersonFactory(roles=["inspector"])
    with pytest.raises(MayNotWaiveError):
        waive_readings(session, station.act(), station.operation.id, "gauge broken", operator)
    with pytest.raises(WhyMissingError):
        waive_readings(session, station.act(), station.operation.id, " ", inspector)
    waiver = waive_readings(session, station.act(), station.operation.id, "measured on the CMM", inspector)
    assert "missing: piece 1, 2, 3, and 7 more" in waiver.missing
    sign_off(session, station.act(), [SignOff(station.operation.id, 10)])
    with pytest.raises(EntryRefusedError):  # only for the pieces it spoke of
        other = AtStation(session, measured_lot(session)).begin()
        sign_off(session, other.act(), [SignOff(other.operation.id, 1)])


def test_nothing_missing_is_nothing_to_waive(session):
    station = AtStation(session, measured_lot(session, pieces=1)).begin()
    station.read("0.5001")
    with pytest.raises(NothingMissingError):
        waive_readings(session, station.act(), station.operation.id, "why not", PersonFactory(roles=["inspector"]))


def test_the_first_piece_must_pass_before_the_run_goes_on(session):
    station = AtStation(session, measured_lot(session, {"first_piece": True}, first_piece=True)).begin(setup=True)
    with pytest.raises(FirstPieceNotGoodError, match="1 Bore"):
        refuse_run(session, station.act(), station.operation)
    adjusted = station.read("0.5010")
    assert adjusted.nonconformance is None
    assert not station.operation.lot.on_hold
    with pytest.raises(FirstPieceNotGoodError):
        refuse_run(session, station.act(), station.operation)
    assert station.read("0.5001").reading.piece == 1
    refuse_run(session, station.act(), station.operation)
    run(session, station.act(), station.operation.id)
    session.expire_all()
    assert queries.measuring(session, station.operation, station.clock.now).bad == []


def test_pieces_since_the_last_count_are_estimated_from_the_cycle_time(session):
    station = AtStation(session, measured_lot(session)).begin()
    count_so_far(session, station.act(), station.operation.id, 3)
    station.clock.forward(minutes=5)  # of two minutes each
    made = queries.made_by_now(session, station.operation, station.clock.now)
    assert (made.made, made.estimated, made.pieces) == (5, True, 10)
    count_so_far(session, station.act(), station.operation.id, 4)
    made = queries.made_by_now(session, station.operation, station.clock.now)
    assert (made.made, made.estimated) == (4, False)


def test_a_struck_reading_counts_no_more_and_stays_on_record(session, station):
    wrong, person = station.read("0.5001").reading, PersonFactory()
    with pytest.raises(WhyMissingError):
        strike_reading(session, station.act(), wrong.id, "", person)
    strike_reading(session, station.act(), wrong.id, "wrong piece", person)
    measuring = queries.measuring(session, station.operation, station.clock.now)
    assert measuring.items[0].last == {}
    assert [each.struck_reason for each in readings(session)] == ["wrong piece"]


def test_three_times_a_shift_owes_a_reading_in_each_part_begun(session):
    """The shift lasts twelve hours and the lot begins at 09:00: one is due by 13:00, the next by 17:00."""
    ShopFactory()
    plan = {"recording_kind": FrequencyKind.TIMES_A_SHIFT, "recording_number": Decimal(3)}
    station = AtStation(session, measured_lot(session, plan, pieces=500)).begin()
    station.clock.forward(hours=5)
    assert queries.measuring(session, station.operation, station.clock.now).readings_due == 2
    station.read("0.5001")
    assert queries.measuring(session, station.operation, station.clock.now).readings_due == 1


def test_nothing_open_after_good_readings(session, station):
    station.read("0.5005")
    station.read("0.4995", piece=2)
    assert session.scalars(sa.select(Nonconformance)).all() == []


def test_a_pause_shorter_than_a_window_asks_for_no_reading_more():
    runs = [Span(0, 10), Span(15, 20), Span(40, 50)]
    assert joined(runs, 20) == [Span(0, 20), Span(40, 50)]
    assert joined([], 20) == []


def test_a_piece_measured_again_later_still_pays_its_first_window(session):
    ShopFactory()
    plan = {"recording_kind": FrequencyKind.TIMES_A_SHIFT, "recording_number": Decimal(3)}
    station = AtStation(session, measured_lot(session, plan, pieces=500)).begin()
    station.read("0.5001", piece=1)
    station.clock.forward(hours=5)
    station.read("0.5002", piece=1)
    assert queries.measuring(session, station.operation, station.clock.now).readings_due == 0
