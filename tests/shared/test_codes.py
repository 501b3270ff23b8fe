"""Reading a code: what a person is told where it cannot be read."""

import pytest

from app.core.check_character import ALPHABET
from app.core.scan_code import CodeKind, format_code, next_number
from app.shared.codes import CodeRefusedError, read_code


@pytest.fixture(autouse=True)
def _words(app):
    with app.app_context():
        yield


def test_a_mistyped_code_says_so_and_how_many_characters_to_type():
    with pytest.raises(CodeRefusedError) as refusal:
        read_code("http://shop-pc:5000/c/l00417x")
    assert str(refusal.value) == (
        "L00417X is mistyped: its last character does not match. Scan it again or type all seven characters."
    )


@pytest.mark.parametrize(
    ("kind", "word"), list(zip(CodeKind, ["seven", "nine", "eight", "seven", "five"], strict=True))
)
def test_the_count_of_characters_is_that_of_the_kind(kind, word):
    good = format_code(kind, next_number(kind, 0))
    wrong = next(character for character in ALPHABET[:-1] if character != good[-1])
    with pytest.raises(CodeRefusedError, match=f"all {word} characters"):
        read_code(good[:-1] + wrong)


def test_what_is_not_a_code_is_named():
    with pytest.raises(CodeRefusedError) as refusal:
        read_code(" WO-2026-0417 ")
    assert str(refusal.value) == "WO-2026-0417 is not one of our codes. Scan it again, or type it as it is printed."


def test_an_empty_scan_says_that_nothing_was_read():
    with pytest.raises(CodeRefusedError, match=r"^No code was read\. Scan it again"):
        read_code(" \n")


def test_a_long_text_is_shown_cut():
    with pytest.raises(CodeRefusedError) as refusal:
        read_code("https://elsewhere.example/" + "a" * 500)
    assert "… is not one of our codes" in str(refusal.value)
    assert len(str(refusal.value)) < 120
