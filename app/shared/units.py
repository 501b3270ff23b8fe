"""Lengths and weights with their units; conversions are exact (NIST SP 811, appendix B)."""

from decimal import ROUND_HALF_EVEN, Decimal
from enum import StrEnum

from app.core.measures import KG_PER_POUND

GRAMS_PER_POUND = KG_PER_POUND * 1000


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


def grams_from(weight: Decimal, units: UnitSystem) -> int:
    """Return a typed weight (lb or kg) in whole grams, rounded half to even."""
    per_unit = GRAMS_PER_POUND if units is UnitSystem.INCH else Decimal(1000)
    return int((weight * per_unit).to_integral_value(ROUND_HALF_EVEN))


def weight_of(grams: int, units: UnitSystem, places: int = 1) -> Decimal:
    """Return ``grams`` in the shop's weight unit, rounded half to even to ``places``."""
    per_unit = GRAMS_PER_POUND if units is UnitSystem.INCH else Decimal(1000)
    return (Decimal(grams) / per_unit).quantize(Decimal(1).scaleb(-places), ROUND_HALF_EVEN)


def shown_weight(grams: int, units: UnitSystem, places: int = 1) -> str:
    """Show a weight in the shop's unit: ``12.4 lb``."""
    return f"{weight_of(grams, units, places):,} {units.weight_unit}"
