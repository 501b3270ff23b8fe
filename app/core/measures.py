"""Exact numbers for what people type, and the units of length and weight.

Everything is a fraction until it is shown, so that no rounding happens on the way.
"""

from decimal import Context, Decimal
from fractions import Fraction
from typing import TypeAlias

Number: TypeAlias = Fraction | Decimal | int
"""What the core computes with; never a float."""

MM_PER_INCH = Fraction("25.4")
"""Exact (NIST SP 811, appendix B)."""

KG_PER_POUND = Fraction("0.45359237")
"""Exact (NIST SP 811, appendix B)."""


def exact(name: str, value: Number) -> Fraction:
    """Return ``value`` as a fraction.

    Raises:
        ValueError: it is a Decimal that is infinite or not a number; the message begins with ``name``.
    """
    if isinstance(value, Decimal) and not value.is_finite():
        raise ValueError(f"{name} must be a number, not {value}.")
    return Fraction(value)


def above_zero(name: str, value: Number) -> Fraction:
    """Return ``value`` as a fraction.

    Raises:
        ValueError: it is not a number above 0; the message begins with ``name``.
    """
    number = exact(name, value)
    if number <= 0:
        raise ValueError(f"{name} must be above 0, not {value}.")
    return number


def zero_or_more(name: str, value: Number) -> Fraction:
    """Return ``value`` as a fraction.

    Raises:
        ValueError: it is negative or not a number; the message begins with ``name``.
    """
    number = exact(name, value)
    if number < 0:
        raise ValueError(f"{name} must be 0 or more, not {value}.")
    return number


def rounded(value: Number, places: int) -> Decimal:
    """Return ``value`` to so many decimal places, ties to the even digit (ISO 80000-1, annex B, rule A)."""
    units = round(Fraction(value) * 10**places)
    return Decimal(units).scaleb(-places, Context(prec=len(str(units)) + places))


def inches_to_mm(inches: Number) -> Fraction:
    """Return a length in millimetres."""
    return exact("The length", inches) * MM_PER_INCH


def mm_to_inches(mm: Number) -> Fraction:
    """Return a length in inches."""
    return exact("The length", mm) / MM_PER_INCH


def pounds_to_kg(pounds: Number) -> Fraction:
    """Return a weight in kilograms."""
    return exact("The weight", pounds) * KG_PER_POUND


def kg_to_pounds(kg: Number) -> Fraction:
    """Return a weight in pounds."""
    return exact("The weight", kg) / KG_PER_POUND
