"""Run rules against the handbook's wording and the run lengths of a process in control."""

from fractions import Fraction
from math import sqrt

import numpy as np
import pytest

from app.core.quality.run_rules import Rule, find_signals, zone

# Western Electric, Statistical Quality Control Handbook, 1956 (as in Montgomery and Runger, p. 606); the vectors are
# our own: distances from the centre line in sigma, and the rule and point (from 1) that they signal.
VECTORS = [
    ("0.2 -3.2", Rule.BEYOND_LIMIT, 2),
    ("0.2 -3.0", None, None),
    ("2.3 -0.4 2.6", Rule.TWO_OF_THREE, 3),
    ("2.3 -0.4 -2.6", None, None),
    ("2.3 -0.4 0.1 2.6", None, None),
    ("1.5 1.2 -0.2 1.8 1.3", Rule.FOUR_OF_FIVE, 5),
    ("1.5 1.2 -0.2 1.8 -1.3", None, None),
    (".4 .9 .1 .7 .2 .6 .3 .5", Rule.EIGHT_IN_A_ROW, 8),
    (".4 .9 .1 .7 .2 .6 .3 -.5", None, None),
]


@pytest.mark.parametrize(("vector", "rule", "point"), VECTORS)
def test_vectors(vector, rule, point):
    found = find_signals([zone(Fraction(each), Fraction(1)) for each in vector.split()])
    assert [(signal.rule, signal.point + 1) for signal in found] == ([(rule, point)] if rule else [])


def first_signal(random, rules):
    """Return after how many points of a process in control the rules speak first."""
    zones = []
    while True:
        zones += [zone(deviation, 1.0) for deviation in random.standard_normal(96 + len(zones)).tolist()]
        signals = find_signals(zones, rules)
        if signals:
            return signals[0].point + 1


@pytest.mark.parametrize(
    ("rules", "length", "runs"),
    [
        # Champ and Woodall, Technometrics 29 (1987), table 1 (from memory); 370.40 also follows from the normal tail
        ({Rule.BEYOND_LIMIT}, 370.40, 600),
        ({Rule.BEYOND_LIMIT, Rule.TWO_OF_THREE}, 225.44, 800),
        ({Rule.BEYOND_LIMIT, Rule.FOUR_OF_FIVE}, 166.05, 800),
        ({Rule.BEYOND_LIMIT, Rule.EIGHT_IN_A_ROW}, 152.73, 800),
        (set(Rule), 91.75, 2000),
    ],
    ids=["limits", "with two of three", "with four of five", "with eight in a row", "all four"],
)
def test_run_length_in_control(rules, length, runs):
    random = np.random.default_rng(1956)
    found = [first_signal(random, rules) for _ in range(runs)]
    # run lengths scatter about as much as their mean; four standard errors of it
    assert sum(found) / runs == pytest.approx(length, abs=4 * np.std(found) / sqrt(runs))
