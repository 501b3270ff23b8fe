"""Refusals carry a fault and values; their text is for a log and stays short."""

from decimal import Decimal

import pytest

from app.core.quality.errors import BadInputError, Fault, Figure, at_least, at_most, inside, within
from tests.core.quality.refusals import refused


def test_a_refusal_is_a_value_error_with_fault_and_values():
    error = BadInputError(Fault.TOO_SMALL, what=Figure.LOT, value=0, least=1)
    assert isinstance(error, ValueError)
    assert (error.fault, error.values) == (Fault.TOO_SMALL, {"what": "lot", "value": 0, "least": 1})
    assert str(error) == "too small: what lot, value 0, least 1"
    assert str(BadInputError(Fault.NO_SPREAD)) == "no spread"


def test_ten_thousand_digits_do_not_fill_a_log():
    assert len(str(BadInputError(Fault.NOT_A_NUMBER, typed="9" * 10_000))) < 100


def test_bounds_include_their_ends():
    assert at_least(Figure.STEP, 1, 1) == at_most(Figure.STEP, 1, 1) == 1
    with refused(Fault.TOO_SMALL, what="step", value=0, least=1):
        at_least(Figure.STEP, 0, 1)
    with refused(Fault.TOO_LARGE, what="step", value=2, most=1):
        at_most(Figure.STEP, 2, 1)


def test_within_takes_its_ends_and_inside_does_not():
    within(Figure.SHARE, 0, 0, 1)
    within(Figure.SHARE, Decimal(1), 0, 1)
    inside(Figure.SHARE, Decimal("0.5"), 0, 1)
    for value in (Decimal(0), Decimal("1.0")):
        with refused(Fault.NOT_BETWEEN, what="share", value=value, low=0, high=1):
            inside(Figure.SHARE, value, 0, 1)


@pytest.mark.parametrize("check", [within, inside])
@pytest.mark.parametrize("value", [Decimal("NaN"), float("nan"), Decimal("Infinity"), Decimal("-0.1"), Decimal("1.1")])
def test_what_is_no_number_lies_nowhere(check, value):
    with pytest.raises(BadInputError) as caught:
        check(Figure.SHARE, value, 0, 1)
    assert caught.value.fault is Fault.NOT_BETWEEN
