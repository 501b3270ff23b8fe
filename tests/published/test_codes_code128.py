"""Code 128 (ISO/IEC 15417) against worked examples of the check character and printed symbol widths."""

import pytest

from app.core.code128 import QUIET_ZONE, module_widths, symbol_values


@pytest.mark.parametrize(
    ("text", "start", "weighted_sum", "check"),
    [
        # the worked example of the encyclopedia article 'Code 128', all in set A
        ("PJJ123C", "A", 878, 54),
        # worked examples from bar code tutorials: set A then C, A alone, B alone, C alone
        ("HI345678", "A", 1406, 67),
        ("ABCDEF", "A", 866, 42),
        ("abcdef", "B", 1539, 97),
        ("345678", "C", 485, 73),
    ],
)
def test_worked_examples_of_the_check_character(text, start, weighted_sum, check):
    values = symbol_values(text, start)
    assert values[0] + sum(place * value for place, value in enumerate(values[1:-1], start=1)) == weighted_sum
    assert values[-1] == weighted_sum % 103 == check


def test_the_worked_example_that_changes_sets_value_by_value():
    # start A, H, I, to set C, 34, 56, 78, check
    assert symbol_values("HI345678", "A") == (103, 40, 41, 99, 34, 56, 78, 67)


@pytest.mark.parametrize(("text", "check"), [("PJJ123C", 55), ("HI345678", 68)])
def test_the_check_counts_the_start_character_actually_used(text, check):
    # python-barcode's output for the same texts, which starts in set B
    assert symbol_values(text)[-1] == check


def test_the_width_of_the_worked_example():
    # ISO/IEC 15417: eleven modules for each of start, data and check, thirteen for the stop
    assert sum(module_widths("PJJ123C", "A")) == 112


def test_start_check_and_stop_of_the_worked_example_as_drawn():
    # the article's table: start A 211412, value 54 311123, stop 2331112
    widths = "".join(map(str, module_widths("PJJ123C", "A")))
    assert widths.startswith("211412")
    assert widths.endswith("311123" + "2331112")


def test_the_quiet_zone_is_ten_modules():
    # ISO/IEC 15417, from memory
    assert QUIET_ZONE == 10
