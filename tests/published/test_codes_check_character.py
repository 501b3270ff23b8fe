"""ISO/IEC 7064 MOD 37-2 against printed examples and an independent implementation."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_2

from app.core.check_character import ALPHABET, check_character, is_valid


@pytest.mark.parametrize(
    ("text", "check"),
    [
        # ISBT 128 technical specification, donation identification number G1234 98 654321 with check value 17
        ("G123498654321", "H"),
        # python-stdnum's documentation of its module iso7064.mod_37_2, for a number with two digits exchanged
        ("G123489654321", "Y"),
        # recomputed by two independent programs, no printed source
        ("L2026A0417", "W"),
    ],
)
def test_printed_check_characters(text, check):
    assert check_character(text) == check
    assert is_valid(text + check)


@given(st.text(alphabet=ALPHABET[:-1], min_size=1, max_size=30))
def test_an_independent_implementation_agrees(text):
    assert check_character(text) == mod_37_2.calc_check_digit(text)
