"""Limits and comparisons against standards: fits of ISO 286-1, comparison by ASTM E29."""

from decimal import Decimal
from fractions import Fraction

import pytest

from app.core.measures import rounded
from app.core.quality.fits import limits_of_fit
from app.core.quality.tolerances import Limits, Standing, coarsest_resolution, is_fine_enough

# JIS B 0401:1999, whose tables are those of ISO 286-2: upper and lower deviation in micrometres (H7: lower 0)
ROWS = """
3-6   12 +9/+1  +12/+4 +16/+8  +20/+12 +23/+15 +27/+19
6-10  15 +10/+1 +15/+6 +19/+10 +24/+15 +28/+19 +32/+23
10-18 18 +12/+1 +18/+7 +23/+12 +29/+18 +34/+23 +39/+28
18-30 21 +15/+2 +21/+8 +28/+15 +35/+22 +41/+28 +48/+35
30-50 25 +18/+2 +25/+9 +33/+17 +42/+26 +50/+34 +59/+43
""".strip().splitlines()
SHAFTS = ("k6", "m6", "n6", "p6", "r6", "s6")


def deviations_um(nominal, name):
    limits = limits_of_fit(nominal, name)
    return (limits.upper - nominal) * 1000, (limits.lower - nominal) * 1000


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.split()[0])
def test_rows(row):
    sizes, hole, *shafts = row.split()
    above, up_to = map(Decimal, sizes.split("-"))
    for nominal in (above + Decimal("0.001"), (above + up_to) / 2, up_to):
        assert deviations_um(nominal, "H7") == (Decimal(hole), 0)
        for name, printed in zip(SHAFTS, shafts, strict=True):
            assert deviations_um(nominal, name) == tuple(map(Decimal, printed.split("/")))


@pytest.mark.parametrize(
    ("nominal", "shaft", "least", "most"),
    [(25, "p6", 1, 35), (25, "n6", -6, 28), (25, "s6", 14, 48), (50, "p6", 1, 42)],
)
def test_interference_with_a_hole(nominal, shaft, least, most):
    # printed in tables of preferred fits; 25 H7/n6 is a transition fit
    hole, pin = limits_of_fit(Decimal(nominal), "H7"), limits_of_fit(Decimal(nominal), shaft)
    assert ((pin.lower - hole.upper) * 1000, (pin.upper - hole.lower) * 1000) == (least, most)


@pytest.mark.parametrize(("reading", "standing"), [("0.5005", Standing.GOOD), ("0.50052", Standing.ABOVE)])
def test_readings_are_not_rounded_before_they_are_compared(reading, standing):
    # ASTM E29, absolute method: a limit of 0.5005 means 0.500500...; the rounding method would accept both
    limits = Limits(upper=Decimal("0.5005"))
    assert limits.standing(Decimal(reading)) is standing
    assert limits.standing(rounded(Fraction(reading), 4)) is Standing.GOOD


def test_binary_fractions_do_not_get_in_between():
    # 0.1 + 0.2 is above 0.3 in binary; a limit is compared as written (ASTM E29)
    limits = Limits(upper=Decimal("0.3"))
    assert limits.standing(Decimal("0.1") + Decimal("0.2")) is Standing.GOOD
    assert limits.standing(Decimal("0.300000001")) is Standing.ABOVE


def test_ten_to_one():
    # AIAG, Measurement Systems Analysis (from memory): a total tolerance of 0.002 asks for 0.0002 or finer
    limits = Limits(Decimal("0.499"), Decimal("0.501"))
    assert coarsest_resolution(limits) == Fraction("0.0002")
    assert is_fine_enough(Decimal("0.0002"), limits)
    assert not is_fine_enough(Decimal("0.0005"), limits)
