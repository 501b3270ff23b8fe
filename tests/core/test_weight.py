"""Weights of bars, plates and loads."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.measures import pounds_to_kg
from app.core.weight import (
    DENSITIES,
    Section,
    Shape,
    density_kg_m3,
    kg_per_metre,
    load_weight_kg,
    piece_weight_kg,
    pounds_per_foot,
    too_heavy_to_lift,
)

STEEL = DENSITIES["steel"]
SIZES = st.decimals("0.1", 2000, places=2)


def test_a_cubic_metre_weighs_its_density():
    assert piece_weight_kg(Section(Shape.SQUARE, 1000), 1000, STEEL) == STEEL


@given(SIZES)
def test_round_is_lighter_than_hex_and_hex_lighter_than_square_of_the_same_size(size):
    shapes = (Shape.ROUND, Shape.HEX, Shape.SQUARE)
    round_, hex_, square = (kg_per_metre(Section(shape, size), STEEL) for shape in shapes)
    assert round_ < hex_ < square == kg_per_metre(Section(Shape.RECTANGLE, size, size), STEEL)


@given(SIZES, SIZES, st.integers(1, 500))
def test_a_plate_weighs_the_same_whichever_side_is_called_its_length(width, thickness, length):
    one = piece_weight_kg(Section(Shape.RECTANGLE, width, thickness), length, STEEL)
    assert one == piece_weight_kg(Section(Shape.RECTANGLE, length, thickness), width, STEEL)


@given(SIZES)
def test_a_metre_and_a_foot_weigh_alike_for_their_length(size):
    section = Section(Shape.HEX, size)
    assert pounds_to_kg(pounds_per_foot(section, STEEL)) == kg_per_metre(section, STEEL) * Fraction("0.3048")


def test_a_load_at_the_limit_is_not_too_heavy_and_a_gram_more_is():
    load = load_weight_kg(40, Decimal("0.5"))
    assert load == 20
    assert not too_heavy_to_lift(load, 20)
    assert too_heavy_to_lift(load + Fraction(1, 1000), 20)


@pytest.mark.parametrize(("shape", "thickness"), [(Shape.RECTANGLE, None), (Shape.ROUND, 5)])
def test_a_thickness_belongs_to_a_rectangle_alone(shape, thickness):
    with pytest.raises(ValueError, match="A rectangle or plate has a width and a thickness"):
        Section(shape, 10, thickness)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: kg_per_metre(Section(Shape.ROUND, 0), STEEL), "The size must be above 0"),
        (lambda: kg_per_metre(Section(Shape.RECTANGLE, 5, -1), STEEL), "The thickness must be above 0"),
        (lambda: piece_weight_kg(Section(Shape.ROUND, 5), 0, STEEL), "The length must be above 0"),
        (lambda: kg_per_metre(Section(Shape.ROUND, 5), 0), "The density must be above 0"),
        (lambda: density_kg_m3(0), "The density must be above 0"),
        (lambda: load_weight_kg(-1, 5), "The number of pieces must be 0 or more"),
        (lambda: load_weight_kg(1, -5), "The weight of a piece must be 0 or more"),
        (lambda: too_heavy_to_lift(-1, 5), "The load must be 0 or more"),
        (lambda: too_heavy_to_lift(1, 0), "The lift limit must be above 0"),
    ],
)
def test_a_figure_out_of_range_is_refused(call, sentence):
    with pytest.raises(ValueError, match=sentence):
        call()
