"""Refusals carry a fault and values; their text is for a log and stays short."""

from app.core.quality.errors import BadInputError, Fault, at_least, at_most
from tests.core.quality.refusals import refused


def test_a_refusal_is_a_value_error_with_fault_and_values():
    error = BadInputError(Fault.TOO_SMALL, what="lot", value=0, least=1)
    assert isinstance(error, ValueError)
    assert (error.fault, error.values) == (Fault.TOO_SMALL, {"what": "lot", "value": 0, "least": 1})
    assert str(error) == "too small: what lot, value 0, least 1"
    assert str(BadInputError(Fault.NO_SPREAD)) == "no spread"


def test_ten_thousand_digits_do_not_fill_a_log():
    assert len(str(BadInputError(Fault.NOT_A_NUMBER, typed="9" * 10_000))) < 100


def test_bounds_include_their_ends():
    assert at_least("step", 1, 1) == at_most("step", 1, 1) == 1
    with refused(Fault.TOO_SMALL, what="step", value=0, least=1):
        at_least("step", 0, 1)
    with refused(Fault.TOO_LARGE, what="step", value=2, most=1):
        at_most("step", 2, 1)
