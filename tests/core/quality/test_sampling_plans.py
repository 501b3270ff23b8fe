"""Single plans by lot size: arrows lead to a plan, small lots are inspected whole, nonsense is refused."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.quality.errors import Fault
from app.core.quality.sampling_plans import LETTERS, QUALITY_LIMITS, SAMPLE_SIZES, code_letter, single_plan, table_entry
from tests.core.quality.refusals import refused

ANY_LIMIT = st.sampled_from(QUALITY_LIMITS)


@given(st.integers(1, 10**9), ANY_LIMIT)
def test_every_lot_has_a_plan_that_it_can_give(lot, quality_limit):
    plan = single_plan(lot, quality_limit)
    assert 1 <= plan.size <= lot
    assert plan.reject == plan.accept + 1
    assert plan.every_piece == (plan.size == lot)
    assert table_entry(plan.letter, quality_limit) == plan.accept


@given(st.integers(2, 10**6), ANY_LIMIT)
def test_a_larger_lot_never_has_the_smaller_sample(lot, quality_limit):
    assert single_plan(lot, quality_limit).size <= single_plan(lot + 1, quality_limit).size


@pytest.mark.parametrize("quality_limit", QUALITY_LIMITS)
def test_arrows_lead_to_a_plan_in_their_own_column(quality_limit):
    column = [table_entry(letter, quality_limit) for letter in LETTERS]
    plans = [row for row, entry in enumerate(column) if isinstance(entry, int)]
    for row, entry in enumerate(column):
        assert entry != "down" or any(plan > row for plan in plans) or LETTERS[row] == "R"
        assert entry != "up" or any(plan < row for plan in plans)


def test_sizes_and_letters_match():
    assert len(LETTERS) == len(SAMPLE_SIZES)
    assert code_letter(2) == "A"
    assert code_letter(10**9) == "Q"


def test_a_lot_of_one_is_inspected():
    plan = single_plan(1, Decimal("1.0"))
    assert (plan.size, plan.every_piece) == (1, True)


@pytest.mark.parametrize("value", ["0.5", "0", "11", "NaN"])
def test_a_quality_limit_that_the_standard_has_not_is_refused(value):
    with refused_value(value):
        single_plan(100, Decimal(value))


def refused_value(value):
    shown = Decimal(value)
    if shown.is_nan():
        return pytest.raises(ValueError, match=Fault.NO_SUCH_QUALITY_LIMIT)
    return refused(Fault.NO_SUCH_QUALITY_LIMIT, value=shown, known=QUALITY_LIMITS)


def test_a_lot_without_pieces_is_refused():
    with refused(Fault.TOO_SMALL, what="lot", value=0, least=1):
        single_plan(0, Decimal("1.0"))
    with refused(Fault.TOO_SMALL, what="lot", value=1, least=2):
        code_letter(1)
