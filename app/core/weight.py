"""What bars, plates, pieces and lots weigh, and whether a load is too heavy to lift.

Lengths are millimetres, weights kilograms; ``app.core.measures`` converts inches and pounds exactly.
"""

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from app.core.measures import KG_PER_POUND, MM_PER_INCH, Number, above_zero, zero_or_more

DENSITIES = {"steel": 7850, "aluminium": 2700, "brass": 8500}
"""Common round figures in kg/m3 to offer; an alloy's own figure may differ by some percent."""

_PI = Fraction("3.14159265358979323846264338328")
_SQRT_3 = Fraction("1.73205080756887729352744634151")
_MM3_PER_M3 = 10**9
_FOOT_MM = 12 * MM_PER_INCH


class Shape(StrEnum):
    """Outline of a bar across its length; a plate is a rectangle."""

    ROUND = "round"
    SQUARE = "square"
    HEX = "hex"
    RECTANGLE = "rectangle"


@dataclass(frozen=True, slots=True)
class Section:
    """What a bar or plate is like across its length."""

    shape: Shape
    size_mm: Number
    """Diameter of a round, side of a square, width across flats of a hex, width of a rectangle; above 0."""
    thickness_mm: Number | None = None
    """Thickness of a rectangle, above 0; None for all others."""

    def __post_init__(self) -> None:
        """Refuse a thickness where the shape has none, and the lack of one where it has."""
        if (self.thickness_mm is None) is (self.shape is Shape.RECTANGLE):
            raise ValueError("A rectangle or plate has a width and a thickness; other shapes have one size only.")

    def area_mm2(self) -> Fraction:
        """Return the area across, in mm2.

        Raises:
            ValueError: a size is not above 0.
        """
        size = above_zero("The size", self.size_mm)
        if self.thickness_mm is not None:
            return size * above_zero("The thickness", self.thickness_mm)
        return size**2 * _AREA_FACTOR[self.shape]


_AREA_FACTOR = {Shape.ROUND: _PI / 4, Shape.SQUARE: Fraction(1), Shape.HEX: _SQRT_3 / 2}


def piece_weight_kg(section: Section, length_mm: Number, density_kg_m3: Number) -> Fraction:
    """Return the weight of a length of bar or plate.

    Raises:
        ValueError: a size, the length or the density is not above 0.
    """
    volume_mm3 = section.area_mm2() * above_zero("The length", length_mm)
    return volume_mm3 * above_zero("The density", density_kg_m3) / _MM3_PER_M3


def kg_per_metre(section: Section, density_kg_m3: Number) -> Fraction:
    """Return the weight of one metre of bar.

    Raises:
        ValueError: a size or the density is not above 0.
    """
    return piece_weight_kg(section, 1000, density_kg_m3)


def pounds_per_foot(section: Section, density_kg_m3: Number) -> Fraction:
    """Return the weight in pounds of one foot of bar.

    Raises:
        ValueError: a size or the density is not above 0.
    """
    return piece_weight_kg(section, _FOOT_MM, density_kg_m3) / KG_PER_POUND


def density_kg_m3(pounds_per_cubic_inch: Number) -> Fraction:
    """Return a density in kg/m3 that was given in lb/in3.

    Raises:
        ValueError: it is not above 0.
    """
    return above_zero("The density", pounds_per_cubic_inch) * KG_PER_POUND * _MM3_PER_M3 / MM_PER_INCH**3


def load_weight_kg(pieces: int, piece_kg: Number) -> Fraction:
    """Return what so many pieces weigh together.

    Raises:
        ValueError: a number is negative.
    """
    return zero_or_more("The number of pieces", pieces) * zero_or_more("The weight of a piece", piece_kg)


def too_heavy_to_lift(load_kg: Number, lift_limit_kg: Number) -> bool:
    """Tell whether a load is heavier than the shop's lift limit; exactly the limit is not.

    Raises:
        ValueError: the load is negative or the limit is not above 0.
    """
    return zero_or_more("The load", load_kg) > above_zero("The lift limit", lift_limit_kg)
