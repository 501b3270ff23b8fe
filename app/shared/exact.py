"""Exact decimal numbers in the database: a scaled integer on every database, never a float."""

from decimal import Decimal

import sqlalchemy as sa
from sqlalchemy.engine.interfaces import Dialect

LARGEST = 2**63 - 1


class Exact(sa.types.TypeDecorator[Decimal]):
    """A decimal with a fixed number of places, stored as a BIGINT of its last place.

    Digits beyond the scale are refused, never rounded: whoever typed them meant them.

    Raises:
        ValueError: when a value with more places, or too large for 64 bits, is stored.
    """

    impl = sa.BigInteger
    cache_ok = True

    def __init__(self, places: int) -> None:
        super().__init__()
        self.places = places

    def process_bind_param(self, value: Decimal | int | None, dialect: Dialect) -> int | None:
        """Scale the value to an integer."""
        return None if value is None else scaled(Decimal(value), self.places)

    def process_result_value(self, value: int | None, dialect: Dialect) -> Decimal | None:
        """Give back a decimal that shows every place of the scale."""
        return None if value is None else Decimal(value).scaleb(-self.places)


def scaled(value: Decimal, places: int) -> int:
    """Return ``value`` as a whole number of its ``places``-th place.

    Raises:
        ValueError: it is not a number, has more places, or does not fit 64 bits.
    """
    if not value.is_finite():
        raise ValueError(f"{value} is not a number")
    if value and value.adjusted() > 20:
        raise ValueError(f"{value:.3e} is too large")
    shifted = value.scaleb(places)
    if shifted != shifted.to_integral_value():
        raise ValueError(f"{value} has more than {places} decimal places")
    if abs(shifted) > LARGEST:
        raise ValueError(f"{value} is too large")
    return int(shifted)
