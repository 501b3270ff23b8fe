"""Weights and lengths in the units a shop reads and types; conversions are exact (see ``app.core.measures``)."""

from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from app.core.measures import KG_PER_POUND, rounded


class UnitSystem(StrEnum):
    """The units in which a shop types and reads lengths and weights."""

    INCH = "inch"
    METRIC = "metric"

    @property
    def weight_unit(self) -> str:
        """Return the sign of the weight unit: ``lb`` or ``kg``."""
        return "lb" if self is UnitSystem.INCH else "kg"

    @property
    def length_unit(self) -> str:
        """Return the sign of the length unit: ``in`` or ``mm``."""
        return "in" if self is UnitSystem.INCH else "mm"

    @property
    def grams(self) -> Fraction:
        """Return how many grams one weight unit has."""
        return Fraction(KG_PER_POUND) * 1000 if self is UnitSystem.INCH else Fraction(1000)


def grams_from(weight: Decimal, units: UnitSystem) -> int:
    """Return a typed weight (lb or kg) in whole grams, rounded half to even."""
    return int(rounded(Fraction(weight) * units.grams, 0))


def weight_of(grams: int, units: UnitSystem, places: int = 1) -> Decimal:
    """Return ``grams`` in the shop's weight unit, rounded half to even to ``places``."""
    return rounded(Fraction(grams) / units.grams, places)


def shown_weight(grams: int, units: UnitSystem, places: int = 1) -> str:
    """Show a weight in the shop's unit: ``12.4 lb``."""
    return f"{weight_of(grams, units, places):,} {units.weight_unit}"
