"""Starts on the average: serial scrap."""

from decimal import Decimal

import pytest

from app.core.starts import serial_start


@pytest.mark.parametrize(
    ("needed", "rates", "start"),
    [
        # Tompkins et al., Facilities Planning, chapter 2: 97 000 good pieces from three operations in a row
        (97_000, ("0.04", "0.01", "0.03"), 105_219),
        # the same example, what must reach its last operation
        (97_000, ("0.03",), 100_000),
        # a textbook exercise with the answer 1167 (1166.87)
        (1000, ("0.03", "0.05", "0.07"), 1167),
    ],
)
def test_serial_scrap(needed, rates, start):
    assert serial_start(needed, tuple(map(Decimal, rates))) == start
