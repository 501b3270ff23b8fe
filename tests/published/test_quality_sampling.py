"""Sampling plans against the standard's tables, and their operating characteristics against print and scipy."""

from decimal import Decimal
from math import ceil

import pytest
from scipy.stats import beta, binom, hypergeom

from app.core.quality.acceptance import chance_to_pass, chance_to_pass_lot, share_that_passes, zero_acceptance_size
from app.core.quality.distributions import chi_square_quantile
from app.core.quality.sampling_plans import LETTERS, SAMPLE_SIZES, code_letter, single_plan, table_entry

# ISO 2859-1:1999, table 1, general inspection level II (MIL-STD-105E, table I): largest lot of each letter
LARGEST_LOTS = [
    *("A 8", "B 15", "C 25", "D 50", "E 90", "F 150", "G 280", "H 500", "J 1200", "K 3200", "L 10000", "M 35000"),
    *("N 150000", "P 500000"),
]

# ISO 2859-1:1999, table 2-A (MIL-STD-105E, table II-A), quality limits 0.65 to 6.5
COLUMNS = [Decimal(each) for each in ("0.65", "1.0", "1.5", "2.5", "4.0", "6.5")]
ROWS = [
    ("D", 8, "down down 0 up down 1"),
    ("E", 13, "down 0 up down 1 2"),
    ("F", 20, "0 up down 1 2 3"),
    ("G", 32, "up down 1 2 3 5"),
    ("H", 50, "down 1 2 3 5 7"),
    ("J", 80, "1 2 3 5 7 10"),
    ("K", 125, "2 3 5 7 10 14"),
    ("L", 200, "3 5 7 10 14 21"),
]


@pytest.mark.parametrize("row", LARGEST_LOTS)
def test_code_letters(row):
    letter, largest = row.split()
    assert code_letter(int(largest)) == letter
    assert code_letter(int(largest) + 1) == LETTERS[LETTERS.index(letter) + 1]


@pytest.mark.parametrize(("letter", "size", "entries"), ROWS)
def test_rows_of_the_master_table(letter, size, entries):
    assert SAMPLE_SIZES[LETTERS.index(letter)] == size
    assert [str(table_entry(letter, column)) for column in COLUMNS] == entries.split()


def test_sample_sizes():
    # the same table
    assert SAMPLE_SIZES[:-1] == (2, 3, 5, 8, 13, 20, 32, 50, 80, 125, 200, 315, 500, 800, 1250)


@pytest.mark.parametrize(
    ("letter", "quality_limit", "entry"),
    [
        *[("A", "6.5", 0), ("A", "10", "down"), ("B", "4.0", 0), ("C", "2.5", 0), ("C", "10", 1)],
        *[("M", "4.0", 21), ("M", "6.5", "up"), ("N", "0.10", 1), ("P", "0.015", 0), ("Q", "0.010", 0)],
        *[("Q", "0.015", "up"), ("Q", "0.025", "down"), ("R", "0.025", 1), ("K", "10", 21), ("L", "10", "up")],
    ],
)
def test_entries_outside_the_printed_rows(letter, quality_limit, entry):
    # the same table, from memory
    assert table_entry(letter, Decimal(quality_limit)) == entry


@pytest.mark.parametrize(
    ("lot", "quality_limit", "size", "accept"),
    [
        (100, "1.0", 13, 0),
        (100, "1.5", 32, 1),
        (40, "1.0", 13, 0),
        (200, "0.65", 20, 0),
        (400, "0.65", 80, 1),
        (400, "1.0", 50, 1),
        (800, "1.0", 80, 2),
    ],
)
def test_arrows_are_followed(lot, quality_limit, size, accept):
    # the same tables; an arrow leads to the first plan below or above, with that plan's sample size
    plan = single_plan(lot, Decimal(quality_limit))
    assert (plan.size, plan.accept, plan.every_piece) == (size, accept, False)


def test_a_sample_as_large_as_the_lot_is_the_lot():
    # the note to MIL-STD-105E, table II-A: 100 percent inspection where the sample equals or exceeds the lot
    plan = single_plan(10, Decimal("1.0"))
    assert (plan.letter, plan.size, plan.accept, plan.every_piece) == ("E", 10, 0, True)


@pytest.mark.parametrize(
    ("size", "accept", "printed"),
    [
        (20, 0, (0.256, 3.41, 10.9)),
        (32, 1, (1.12, 5.19, 11.6)),
        (50, 1, (0.715, 3.33, 7.56)),
        (80, 2, (1.03, 3.33, 6.52)),
        (125, 3, (1.10, 2.93, 5.27)),
        (200, 5, (1.31, 2.83, 4.59)),
    ],
)
def test_points_of_the_operating_characteristic(size, accept, printed):
    # percent nonconforming at 95, 50 and 10 % acceptance; the plans of 20 and 80 as in ISO 2859-1, table 10 (from
    # memory), all recomputed with scipy
    for chance, percent in zip((0.95, 0.50, 0.10), printed, strict=True):
        found = share_that_passes(size, accept, Decimal(str(chance)))
        assert 100 * found == pytest.approx(percent, rel=4e-3)
        assert found == pytest.approx(beta.ppf(1 - chance, accept + 1, size - accept), rel=1e-9)


@pytest.mark.parametrize(
    ("size", "accept", "percent", "chance"),
    [
        *[(80, 2, 1, 0.9534), (80, 2, 2, 0.7844), (80, 2, 5, 0.2306)],
        # Montgomery, Introduction to Statistical Quality Control, the plan n = 89, c = 2 (the first from memory, the
        # others recomputed)
        *[(89, 2, 1, 0.9397), (89, 2, 2, 0.7366), (89, 2, 3, 0.4985), (89, 2, 5, 0.1721)],
    ],
)
def test_chances_to_pass(size, accept, percent, chance):
    found = float(chance_to_pass(size, accept, Decimal(percent) / 100))
    assert found == pytest.approx(chance, abs=5e-5)
    assert found == pytest.approx(binom.cdf(accept, size, percent / 100), rel=1e-12)


@pytest.mark.parametrize(
    ("lot", "bad", "size", "accept", "chance"),
    [
        *[(100, 5, 10, 0, 0.58375), (100, 2, 20, 0, 0.63838), (50, 1, 8, 0, 0.84)],
        *[(200, 4, 32, 0, 0.49500), (200, 4, 32, 1, 0.87900), (20, 1, 5, 0, 0.75)],
    ],
)
def test_chances_of_a_lot_to_pass(lot, bad, size, accept, chance):
    # recomputed with the hypergeometric distribution of scipy, no printed source
    found = float(chance_to_pass_lot(lot, bad, size, accept))
    assert found == pytest.approx(chance, abs=5e-6)
    assert found == pytest.approx(hypergeom.cdf(accept, lot, bad, size), rel=1e-10)


@pytest.mark.parametrize(
    ("reliability", "confidence", "size"),
    [
        *[("0.90", "0.90", 22), ("0.90", "0.95", 29), ("0.95", "0.90", 45), ("0.95", "0.95", 59)],
        *[("0.97", "0.95", 99), ("0.99", "0.90", 230), ("0.99", "0.95", 299)],
    ],
)
def test_success_runs(reliability, confidence, size):
    # success-run theorem, n = ln(1 - C) / ln R rounded up (from memory), which a very large lot tends to
    bad = 1 - Decimal(reliability)
    assert chance_to_pass(size, 0, bad) <= 1 - Decimal(confidence) < chance_to_pass(size - 1, 0, bad)
    assert zero_acceptance_size(1_000_000, bad, Decimal(confidence)) == size


def test_nothing_bad_among_thirty():
    # the upper 95 % bound of the bad share, 1 - 0.05**(1/30), recomputed
    assert share_that_passes(30, 0, Decimal("0.05")) == pytest.approx(0.0950, abs=5e-5)


def test_sample_for_a_tolerated_share_with_one_bad_piece():
    # Birolini, Reliability Engineering, 2007, p. 300: two percent with ten percent risk, c = 1: m = 3.9, n = 195
    mean = chi_square_quantile(0.90, 4) / 2
    assert mean == pytest.approx(3.890, abs=5e-4)
    assert ceil(mean / 0.02) == 195
    assert chance_to_pass(195, 1, Decimal("0.02")) <= Decimal("0.1")
