"""Frequencies: what is due as pieces are made, what is missing at sign-off."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.quality.errors import Fault
from app.core.quality.frequencies import (
    EveryNth,
    EveryPiece,
    FirstAndLast,
    Owed,
    PlanByLotSize,
    Progress,
    Stint,
    TimesAShift,
    TimeWindow,
    Window,
    ZeroAcceptance,
    due_now,
    owed_at_sign_off,
    pieces_to_read,
    suspect_pieces,
)
from app.core.quality.sampling_plans import QUALITY_LIMITS
from tests.core.quality.refusals import refused

SHIFT_S = 8 * 3600
BY_PIECE = st.one_of(
    st.just(EveryPiece()),
    st.just(FirstAndLast()),
    st.builds(EveryNth, st.integers(1, 40)),
    st.just(PlanByLotSize(Decimal("1.0"))),
    st.just(ZeroAcceptance(Decimal("0.05"))),
)


def test_every_piece_is_due_when_it_is_made():
    owed = due_now(EveryPiece(), Progress(pieces=50, made=4, read=(1, 3)))
    assert owed.pieces == (Window(2, 2), Window(4, 4))


def test_first_and_last_owe_the_last_only_when_it_is_made():
    assert due_now(FirstAndLast(), Progress(50, made=0)).nothing
    assert due_now(FirstAndLast(), Progress(50, made=1)).pieces == (Window(1, 49),)
    assert due_now(FirstAndLast(), Progress(50, made=49, read=(2,))).nothing
    assert due_now(FirstAndLast(), Progress(50, made=50, read=(2,))).pieces == (Window(50, 50),)


def test_a_run_that_ends_early_has_its_last_piece_where_it_ended():
    progress = Progress(50, made=47, finished=True, read=(1,))
    assert due_now(FirstAndLast(), progress).pieces == (Window(47, 47),)
    assert due_now(EveryNth(10), progress).pieces == (Window(11, 20), Window(21, 30), Window(31, 40), Window(41, 47))


def test_the_only_piece_of_a_lot_is_first_and_last():
    assert due_now(FirstAndLast(), Progress(1, made=1)).pieces == (Window(1, 1),)


def test_every_tenth_starts_with_the_first_and_a_reading_anywhere_in_its_ten_pays():
    assert due_now(EveryNth(10), Progress(50, made=25, read=(3, 14))).pieces == (Window(21, 30),)
    assert due_now(EveryNth(10), Progress(50, made=25, read=(3, 4, 22))).pieces == (Window(11, 20),)
    assert due_now(EveryNth(10), Progress(7, made=7, finished=True)).pieces == (Window(1, 7),)


def test_three_times_a_shift_are_spread_from_when_the_lot_began_in_it():
    hour = 3600
    begun = Stint(SHIFT_S, start_s=2 * hour, end_s=2 * hour)
    assert due_now(TimesAShift(3), Progress(50, made=1, stints=(begun,))).times == (TimeWindow(0, 7200, 16_800),)
    whole = Stint(SHIFT_S, start_s=0, end_s=SHIFT_S, readings_s=(60, 120, 28_000))
    assert due_now(TimesAShift(3), Progress(50, made=9, stints=(whole,))).times == (TimeWindow(0, 9600, 19_200),)


def test_a_lot_that_ran_for_part_of_a_shift_owes_its_share():
    last_hour = Stint(SHIFT_S, start_s=SHIFT_S - 3600, end_s=SHIFT_S, readings_s=(SHIFT_S - 100,))
    assert due_now(TimesAShift(3), Progress(50, made=9, stints=(last_hour,))).nothing
    half = Stint(SHIFT_S, start_s=0, end_s=SHIFT_S // 2)
    assert due_now(TimesAShift(3), Progress(50, made=9, stints=(half,))).readings == 2


def test_each_shift_owes_its_own():
    stints = (Stint(SHIFT_S, 0, SHIFT_S, (0, 10_000, 20_000)), Stint(SHIFT_S, 0, 10_000, (5,)))
    assert due_now(TimesAShift(3), Progress(50, made=9, stints=stints)).times == (TimeWindow(1, 9600, 19_200),)


def test_nothing_is_due_before_a_piece_is_made():
    assert due_now(TimesAShift(3), Progress(50, made=0, stints=(Stint(SHIFT_S, 0, SHIFT_S),))) == Owed()
    assert owed_at_sign_off(EveryPiece(), TimesAShift(3), Progress(50, made=0)).nothing


def test_every_piece_checked_but_three_written_down_asks_for_three_readings_and_one_word():
    progress = Progress(50, made=50, stints=(Stint(SHIFT_S, 0, SHIFT_S),))
    owed = owed_at_sign_off(EveryPiece(), TimesAShift(3), progress)
    assert (owed.readings, owed.all_checked, owed.nothing) == (3, True, False)
    read = Progress(50, made=50, stints=(Stint(SHIFT_S, 0, SHIFT_S, (1, 10_000, 20_000)),))
    assert owed_at_sign_off(EveryPiece(), TimesAShift(3), read, confirmed_checked=True).nothing


def test_readings_of_what_was_checked_need_no_word():
    assert owed_at_sign_off(EveryNth(5), EveryNth(5), Progress(10, made=10, read=(1, 6))).nothing


def test_a_sample_by_lot_size_is_spread_over_the_lot():
    assert len(pieces_to_read(PlanByLotSize(Decimal("1.0")), 100)) == 13
    assert pieces_to_read(PlanByLotSize(Decimal("1.0")), 10) == tuple(range(1, 11))
    assert pieces_to_read(ZeroAcceptance(Decimal("0.5")), 20) == (1, 6, 11, 16)


def test_a_frequency_by_the_shift_names_no_pieces():
    assert pieces_to_read(TimesAShift(3), 50) == ()


def test_any_pieces_pay_for_a_sample():
    recording = PlanByLotSize(Decimal("1.0"))
    assert due_now(recording, Progress(100, made=50, read=(1, 2, 3, 4, 5, 6, 7))).nothing
    assert due_now(recording, Progress(100, made=50, read=(1, 2, 2, 4))).readings == 7 - 3
    assert due_now(recording, Progress(100, made=100, finished=True, read=tuple(range(1, 13)))).pieces == (
        Window(93, 100),
    )


@given(BY_PIECE, st.integers(1, 400), st.data())
def test_what_is_due_can_be_paid_and_then_is(recording, pieces, data):
    made = data.draw(st.integers(0, pieces))
    finished = data.draw(st.booleans())
    read = tuple(data.draw(st.lists(st.integers(1, pieces), max_size=5)))
    owed = due_now(recording, Progress(pieces, made, finished, read))
    paid = tuple(window.first for window in owed.pieces)
    assert due_now(recording, Progress(pieces, made, finished, read + paid)).nothing
    assert all(1 <= window.first <= min(window.last, made) for window in owed.pieces)


@given(BY_PIECE, st.integers(1, 400), st.data())
def test_more_is_due_as_more_is_made_and_every_required_piece_is_due_in_the_end(recording, pieces, data):
    made = data.draw(st.integers(0, pieces))
    later = data.draw(st.integers(made, pieces))
    assert due_now(recording, Progress(pieces, made)).readings <= due_now(recording, Progress(pieces, later)).readings
    assert due_now(recording, Progress(pieces, pieces)).readings == len(pieces_to_read(recording, pieces))


@given(BY_PIECE, st.integers(1, 400))
def test_every_lot_has_a_reading_of_a_piece_it_has(recording, pieces):
    required = pieces_to_read(recording, pieces)
    assert 1 <= len(set(required)) == len(required)
    assert required[0] == 1
    assert max(required) <= pieces


@given(st.integers(1, 100), st.integers(3600, 86_400), st.integers(0, 50_000), st.integers(0, 90_000))
def test_a_stretch_of_a_shift_owes_its_share_rounded_up_and_never_more_than_the_whole(times, shift_s, start, length):
    owed = due_now(TimesAShift(times), Progress(5, 1, stints=(Stint(shift_s, start, start + length),)))
    share = min(max(-(-length * times // shift_s), 1), times)
    assert owed.readings == share
    starts = tuple(window.start_s for window in owed.times)
    assert due_now(TimesAShift(times), Progress(5, 1, stints=(Stint(shift_s, start, start + length, starts),))).nothing


def test_the_pieces_since_the_last_good_reading_are_suspect():
    assert suspect_pieces(good=(1, 11, 21, 41), out=31, made=44) == Window(22, 44)
    assert suspect_pieces(good=(), out=3, made=3) == Window(1, 3)
    assert suspect_pieces(good=(5,), out=8, made=6) == Window(6, 8)


@pytest.mark.parametrize(("make", "what"), [(lambda: EveryNth(0), "step"), (lambda: TimesAShift(0), "times")])
def test_a_frequency_of_zero_is_refused(make, what):
    with refused(Fault.TOO_SMALL, what=what, value=0, least=1):
        make()


def test_a_frequency_beyond_reason_is_refused():
    with refused(Fault.TOO_LARGE, what="step", value=10**9, most=1_000_000):
        EveryNth(10**9)
    with refused(Fault.TOO_LARGE, what="times", value=101, most=100):
        TimesAShift(101)


def test_a_sample_that_cannot_be_is_refused_where_it_is_chosen():
    with refused(Fault.NO_SUCH_QUALITY_LIMIT, value=Decimal("1.1"), known=QUALITY_LIMITS):
        PlanByLotSize(Decimal("1.1"))
    with refused(Fault.NOT_BETWEEN, what="share", value=Decimal(0), low=0, high=1):
        ZeroAcceptance(Decimal(0))
    with refused(Fault.NOT_BETWEEN, what="confidence", value=Decimal(1), low=0, high=1):
        ZeroAcceptance(Decimal("0.05"), Decimal(1))


def test_progress_that_cannot_be_is_refused():
    with refused(Fault.TOO_SMALL, what="pieces", value=0, least=1):
        Progress(0, 0)
    with refused(Fault.TOO_LARGE, what="made", value=6, most=5):
        Progress(5, 6)
    with refused(Fault.TOO_SMALL, what="made", value=-1, least=0):
        Progress(5, -1)
    with refused(Fault.NO_SUCH_PIECE, piece=6, pieces=5):
        Progress(5, 5, read=(1, 6))
    with refused(Fault.OUT_OF_ORDER, earlier=10, later=9):
        Stint(SHIFT_S, 10, 9)
    with refused(Fault.TOO_SMALL, what="shift", value=0, least=3600):
        Stint(0, 0, 0)
