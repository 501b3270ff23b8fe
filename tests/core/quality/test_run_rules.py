"""Run rules: patterns end with their latest point, each can be switched off, mirror images behave alike."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.quality.run_rules import ALL_RULES, Rule, Signal, find_signals, zone

ZONES = st.lists(st.integers(-4, 4), max_size=40)


@pytest.mark.parametrize(
    ("deviation", "expected"),
    [("0", 0), ("0.5", 1), ("1", 1), ("1.01", 2), ("2", 2), ("2.01", 3), ("3", 3), ("3.01", 4), ("-3", -3), ("-9", -4)],
)
def test_a_point_on_a_line_is_not_beyond_it(deviation, expected):
    assert zone(Fraction(deviation), Fraction(1)) == expected


def test_without_any_spread_every_other_value_is_beyond():
    assert zone(Fraction(1, 1000), Fraction(0)) == 4
    assert zone(Fraction(0), Fraction(0)) == 0


def test_a_signal_tells_where_its_pattern_began_and_on_which_side():
    assert find_signals([1, -3, -1, -3]) == (Signal(Rule.TWO_OF_THREE, point=3, first=1, above=False),)


def test_two_points_suffice_for_two_of_three():
    assert find_signals([3, 3]) == (Signal(Rule.TWO_OF_THREE, 1, 0, above=True),)


def test_a_pattern_is_not_told_again_by_a_point_that_does_not_belong_to_it():
    assert [signal.point for signal in find_signals([3, 3, 1])] == [1]


def test_a_run_is_told_at_each_further_point_and_broken_by_the_centre_line():
    assert [signal.point for signal in find_signals([1] * 10, {Rule.EIGHT_IN_A_ROW})] == [7, 8, 9]
    assert find_signals([1] * 7 + [0] + [1] * 7) == ()


@given(ZONES, st.sets(st.sampled_from(Rule)))
def test_switched_off_rules_are_silent_and_the_others_unchanged(zones, rules):
    everything = find_signals(zones, ALL_RULES)
    assert find_signals(zones, rules) == tuple(signal for signal in everything if signal.rule in rules)


@given(ZONES)
def test_upside_down_gives_the_same_signals_on_the_other_side(zones):
    mirrored = find_signals([-each for each in zones])
    assert [(s.rule, s.point, s.first, not s.above) for s in mirrored] == [
        (s.rule, s.point, s.first, s.above) for s in find_signals(zones)
    ]


@given(ZONES, ZONES)
def test_what_came_is_not_changed_by_what_comes(zones, more):
    whole = find_signals(zones + more)
    assert tuple(signal for signal in whole if signal.point < len(zones)) == find_signals(zones)


@given(ZONES)
def test_each_signal_agrees_with_a_count_over_its_window(zones):
    needs = {
        Rule.BEYOND_LIMIT: (1, 4, 1),
        Rule.TWO_OF_THREE: (2, 3, 3),
        Rule.FOUR_OF_FIVE: (4, 2, 5),
        Rule.EIGHT_IN_A_ROW: (8, 1, 8),
    }
    expected = set()
    for end in range(len(zones)):
        for rule, (enough, least, window) in needs.items():
            seen = zones[max(end + 1 - window, 0) : end + 1]
            for side in (1, -1):
                hits = [each for each in seen if each * side >= least]
                if len(hits) >= enough and zones[end] * side >= least:
                    expected.add((rule, end, side > 0))
    assert {(s.rule, s.point, s.above) for s in find_signals(zones)} == expected
