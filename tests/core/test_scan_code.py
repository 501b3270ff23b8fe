"""Codes: format, numbering, reading, and the sentences for what is not a code."""

import re

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from app.core.check_character import ALPHABET, check_character
from app.core.scan_code import (
    PATTERN,
    CodeError,
    CodeKind,
    MistypedCodeError,
    NotOurCodeError,
    NumberTooLargeError,
    ScanCode,
    format_code,
    next_number,
    parse_code,
)

CHARACTERS = ALPHABET[:-1]


@st.composite
def scan_codes(draw):
    kind = draw(st.sampled_from(CodeKind))
    return ScanCode(kind, next_number(kind, draw(st.integers(0, kind.highest_number - 100))))


def outcome(text):
    """Return what a text is read as, or None where it is refused."""
    try:
        return parse_code(text)
    except CodeError:
        return None


@given(scan_codes())
def test_a_code_is_read_back_and_fits_pattern_and_length(code):
    text = str(code)
    assert parse_code(text) == code
    assert re.fullmatch(PATTERN, text)
    assert len(text) == code.kind.length <= 10


@given(scan_codes(), st.data())
def test_every_single_wrong_character_is_refused(code, data):
    text = str(code)
    place = data.draw(st.integers(0, len(text) - 1))
    wrong = data.draw(st.sampled_from(CHARACTERS).filter(lambda character: character != text[place]))
    assert outcome(text[:place] + wrong + text[place + 1 :]) is None


@given(scan_codes(), st.data())
def test_every_swap_of_different_neighbours_is_refused(code, data):
    text = str(code)
    place = data.draw(st.integers(0, len(text) - 2))
    assume(text[place] != text[place + 1])
    assert outcome(text[:place] + text[place + 1] + text[place] + text[place + 2 :]) is None


@given(scan_codes(), st.data())
def test_a_scan_cut_short_or_read_on_is_refused(code, data):
    text = str(code)
    assert outcome(text[: data.draw(st.integers(0, len(text) - 1))]) is None
    assert outcome(text + data.draw(st.sampled_from(CHARACTERS))) is None


@given(st.text(max_size=20))
def test_any_other_text_is_refused_with_one_of_our_errors(text):
    try:
        code = parse_code(text)
    except CodeError:
        return
    assert str(code) in text.upper()


@pytest.mark.parametrize(
    "text",
    [
        "L00417D",
        "  l00417d\r\n",
        "http://shop-pc:5000/c/L00417D",
        "HTTP://192.168.1.20/C/L00417D",
        "https://shop.example/c/l00417d/",
        "http://shop-pc:5000/c/L00417D?from=paper#top",
    ],
)
def test_small_letters_blanks_and_links_are_accepted(text):
    assert parse_code(text) == ScanCode(CodeKind.LOT, 417)


@pytest.mark.parametrize(
    ("code", "kind", "number"),
    [
        ("L00417D", CodeKind.LOT, 417),
        ("P" + "0000417" + check_character("P0000417"), CodeKind.OPERATION, 417),
        ("B" + "000417" + check_character("B000417"), CodeKind.BADGE, 417),
        ("R" + "00418" + check_character("R00418"), CodeKind.RECEIPT, 418),
        ("S" + "417" + check_character("S417"), CodeKind.STATION, 417),
    ],
)
def test_each_kind_has_its_letter_and_digits(code, kind, number):
    assert format_code(kind, number) == code


def test_a_mistyped_code_says_which_and_of_what_kind():
    with pytest.raises(MistypedCodeError) as refusal:
        parse_code("http://shop-pc:5000/c/l00417x")
    assert (refusal.value.text, refusal.value.kind) == ("L00417X", CodeKind.LOT)


@pytest.mark.parametrize(
    "text",
    [
        "WO-2026-0417",
        "L0041",
        "L00417D/x",
        "http://shop-pc:5000/",
        "X00417D",
        "L00417*",
        "ſ417" + check_character("S417"),
    ],
)
def test_what_is_not_a_code_is_named(text):
    with pytest.raises(NotOurCodeError) as refusal:
        parse_code(f" {text} ")
    assert refusal.value.text == text


def test_number_zero_is_not_a_code_though_its_check_character_matches():
    with pytest.raises(NotOurCodeError):
        parse_code("L00000" + check_character("L00000"))


@pytest.mark.parametrize("kind", CodeKind)
def test_numbers_run_up_and_skip_only_those_with_a_star(kind):
    given_out, number = [], 0
    for _ in range(500):
        number = next_number(kind, number)
        given_out.append(number)
    bodies = {n: f"{kind.value}{n:0{kind.digits}}" for n in range(1, number + 1)}
    assert given_out == [n for n, body in bodies.items() if check_character(body) != "*"]
    skipped = min(set(bodies) - set(given_out))
    with pytest.raises(CodeError, match="is skipped"):
        format_code(kind, skipped)


def test_a_number_with_too_many_digits_is_refused():
    with pytest.raises(NumberTooLargeError) as refusal:
        format_code(CodeKind.LOT, 100_000)
    assert str(refusal.value) == "The number 100000 is too large for lot codes: the highest is 99999."


def test_numbers_that_are_used_up_are_refused():
    with pytest.raises(NumberTooLargeError, match="station codes: the highest is 999"):
        next_number(CodeKind.STATION, 999)


@pytest.mark.parametrize("number", [0, -3])
def test_a_number_below_one_is_refused(number):
    with pytest.raises(CodeError, match="starts at 1"):
        format_code(CodeKind.BADGE, number)


def test_the_pattern_reads_the_same_in_javascript():
    assert re.fullmatch(r"[A-Z0-9()?:|\[\]{}-]+", PATTERN)
