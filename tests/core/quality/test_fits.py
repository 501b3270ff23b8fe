"""Limits from a tolerance class: steps, bounds, refusals."""

from decimal import Decimal

import pytest

from app.core.quality.errors import Fault
from app.core.quality.fits import CLASSES, limits_of_fit
from app.core.quality.tolerances import Limits
from tests.core.quality.refusals import refused


def test_a_step_reaches_up_to_and_including_its_upper_size():
    assert limits_of_fit(Decimal(18), "p6") == Limits(Decimal("18.018"), Decimal("18.029"))
    assert limits_of_fit(Decimal("18.001"), "p6") == Limits(Decimal("18.023"), Decimal("18.036"))


@pytest.mark.parametrize("size", ["3", "0", "-8", "50.001", "1000000"])
def test_a_size_without_a_row_is_refused(size):
    with refused(Fault.NO_SUCH_SIZE, size_mm=Decimal(size), above_mm=Decimal(3), up_to_mm=Decimal(50)):
        limits_of_fit(Decimal(size), "H7")


@pytest.mark.parametrize("name", ["h7", "H8", "P6", ""])
def test_a_class_without_rows_is_refused(name):
    with refused(Fault.NO_SUCH_CLASS, name=name, known=CLASSES):
        limits_of_fit(Decimal(10), name)
