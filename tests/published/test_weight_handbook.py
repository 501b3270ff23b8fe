"""Weights of bar stock against handbook rules and printed tables; exact unit conversion."""

from decimal import Decimal
from fractions import Fraction

import pytest

from app.core.measures import inches_to_mm, kg_to_pounds, mm_to_inches, pounds_to_kg, rounded
from app.core.weight import DENSITIES, Section, Shape, density_kg_m3, kg_per_metre, piece_weight_kg, pounds_per_foot

HANDBOOK_STEEL = density_kg_m3(Decimal("0.2833"))
"""Steel bar tables reckon with 0.2833 lb/in3, 489.6 lb/ft3."""


def inch_section(shape, size):
    return Section(shape, inches_to_mm(Decimal(size)))


@pytest.mark.parametrize(
    ("shape", "factor", "tolerance"),
    # rules of the bar tables, pounds a foot: 2.670 D2, 3.4 S2, 2.9445 F2; the last is 0.02 % above its own density
    [(Shape.ROUND, 2.670, 5e-4), (Shape.SQUARE, 3.4, 5e-4), (Shape.HEX, 2.9445, 5e-4)],
)
@pytest.mark.parametrize("size", ["0.25", "1", "1.5", "4"])
def test_steel_per_foot(shape, factor, tolerance, size):
    weight = float(pounds_per_foot(inch_section(shape, size), HANDBOOK_STEEL))
    assert weight == pytest.approx(factor * float(size) ** 2, rel=tolerance)


@pytest.mark.parametrize(
    ("shape", "size", "length", "pounds"),
    [
        # a published table of steel bar weights; 1 in round x 12 ft, 3/4 in round x 48 in, 1 in hex x 12 ft
        (Shape.ROUND, "1", 144, "32.04"),
        (Shape.ROUND, "0.75", 48, "6.01"),
        (Shape.HEX, "1", 144, "35.33"),
        # the same table prints 40.97 and 1.93 for these two, which its own rule does not give; recomputed
        (Shape.SQUARE, "1", 144, "40.80"),
        (Shape.HEX, "1.5", 3, "1.66"),
    ],
)
def test_steel_bars(shape, size, length, pounds):
    weight = piece_weight_kg(inch_section(shape, size), inches_to_mm(length), HANDBOOK_STEEL)
    assert float(kg_to_pounds(weight)) == pytest.approx(float(pounds), abs=0.01)


def test_a_25_mm_round_steel_bar():
    # 7850 kg/m3 gives 3.853 kg/m; the trade's rule d2 / 162 gives 3.858
    weight = kg_per_metre(Section(Shape.ROUND, 25), DENSITIES["steel"])
    assert rounded(weight, 3) == Decimal("3.853")
    assert float(weight) == pytest.approx(25**2 / 162, rel=0.002)


@pytest.mark.parametrize(("metal", "factor", "tolerance"), [("aluminium", 0.346, 0.01), ("brass", 1.08, 0.005)])
def test_other_metals_against_steel(metal, factor, tolerance):
    # bar tables: aluminium 0.346 and brass 1.08 times steel
    assert DENSITIES[metal] / DENSITIES["steel"] == pytest.approx(factor, rel=tolerance)


@pytest.mark.parametrize(("density", "metric"), [("0.28360", "steel"), ("0.09754", "aluminium")])
def test_densities_in_pounds_per_cubic_inch(density, metric):
    # 7850 and 2700 kg/m3, recomputed from the exact inch and pound
    assert float(density_kg_m3(Decimal(density))) == pytest.approx(DENSITIES[metric], rel=1e-4)


def test_the_inch_and_the_pound_are_exact():
    # NIST SP 811, appendix B, from memory
    assert inches_to_mm(1) == Fraction("25.4")
    assert inches_to_mm(12) == Fraction("304.8")
    assert pounds_to_kg(1) == Fraction("0.45359237")
    assert rounded(inches_to_mm(Decimal("0.5005")), 4) == Decimal("12.7127")
    assert mm_to_inches(Decimal("0.0127")) == Fraction("0.0005")


@pytest.mark.parametrize(
    ("value", "places", "result"),
    # ties to the even digit: ISO 80000-1 annex B rule A, ASTM E29 section 6
    [
        ("2.445", 2, "2.44"),
        ("2.435", 2, "2.44"),
        ("0.4565", 3, "0.456"),
        ("12.35", 1, "12.4"),
        ("12.25", 1, "12.2"),
        ("2.5", 0, "2"),
        ("3.5", 0, "4"),
        ("0.50065", 4, "0.5006"),
    ],
)
def test_ties_are_rounded_to_the_even_digit(value, places, result):
    assert rounded(Decimal(value), places) == Decimal(result)
