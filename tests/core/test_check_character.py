"""ISO 7064 MOD 37-2: what it must find and what it refuses."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.check_character import ALPHABET, check_character, is_valid

BODIES = st.text(alphabet=ALPHABET[:-1], min_size=1, max_size=30)


@given(BODIES)
def test_a_text_with_its_check_character_is_valid(body):
    assert is_valid(body + check_character(body))


@given(BODIES, st.data())
def test_every_single_wrong_character_is_found(body, data):
    code = body + check_character(body)
    place = data.draw(st.integers(0, len(code) - 1))
    allowed = ALPHABET if place == len(body) else ALPHABET[:-1]
    wrong = data.draw(st.sampled_from(allowed).filter(lambda character: character != code[place]))
    assert not is_valid(code[:place] + wrong + code[place + 1 :])


@given(BODIES, st.data())
def test_every_swap_of_different_neighbours_is_found(body, data):
    code = body + check_character(body)
    place = data.draw(st.integers(0, len(code) - 2))
    swapped = code[:place] + code[place + 1] + code[place] + code[place + 2 :]
    assert is_valid(swapped) == (swapped == code)


@pytest.mark.parametrize("text", ["", "l00417", "L 417", "L*17", "L٤17"])
def test_other_characters_are_refused(text):
    with pytest.raises(ValueError, match="0-9 and A-Z only"):
        check_character(text)


@pytest.mark.parametrize("text", ["", "1", "*", "g123498654321H", "*H", "L00417É"])
def test_text_that_cannot_carry_a_check_character_is_not_valid(text):
    assert not is_valid(text)
