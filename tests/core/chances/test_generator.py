"""Numbers drawn alike everywhere: the published generator, and binomials that are true to their chances."""

from collections import Counter

import pytest
from scipy.stats import binom

from app.core.chances.kernels.generator import CHANCE, binomial, bits, drawn, inverse, pick_above, stream_of

# The first five numbers of SplitMix64 from the seed 1234567, as the reference implementation
# (S. Vigna, splitmix64.c, 2015) gives them; from memory.
REFERENCE = [
    6457827717110365317,
    3203168211198807973,
    9817491932198370423,
    4593380528125082431,
    16408922859458223821,
]


def test_the_generator_is_the_published_one() -> None:
    assert [drawn(1234567, number) for number in range(5)] == REFERENCE


def test_streams_of_different_keys_have_nothing_in_common() -> None:
    seen = {
        bits(stream_of(stream_of(1, replication), key), n)
        for replication in range(20)
        for key in range(20)
        for n in range(5)
    }
    assert len(seen) == 2000  # 31 bits: the chance of one pair among 2000 is 0.1 %, and the seed is fixed


def test_draws_are_spread_evenly() -> None:
    counts = Counter(bits(stream_of(7, key), 0) * 16 >> 31 for key in range(16_000))
    chi_square = sum((counts[cell] - 1000) ** 2 / 1000 for cell in range(16))
    assert chi_square < 37.7  # 15 degrees of freedom, 0.1 %


@pytest.mark.parametrize(("pieces", "chance"), [(1, 0.5), (20, 0.03), (50, 0.1), (16, 0.5), (400, 0.02)])
def test_pieces_lost_are_binomial_to_the_last_digits(pieces: int, chance: float) -> None:
    parts = round(chance * CHANCE)
    for wanted in (*range(0, 1 << 30, (1 << 30) // 997), (1 << 30) - 1):
        hits = inverse(pieces, parts, wanted)
        share = wanted / (1 << 30)
        assert binom.cdf(hits, pieces, parts / CHANCE) > share - 2e-6
        assert hits == 0 or binom.cdf(hits - 1, pieces, parts / CHANCE) <= share + 2e-6


def test_many_pieces_are_drawn_part_by_part_with_the_right_mean_and_variance() -> None:
    draws = [binomial(3000, CHANCE // 20, key * 7919) for key in range(2000)]
    mean = sum(draws) / len(draws)
    variance = sum((each - mean) ** 2 for each in draws) / (len(draws) - 1)
    assert mean == pytest.approx(150, abs=4 * (142.5 / 2000) ** 0.5)
    assert variance == pytest.approx(142.5, rel=4 * (2 / 2000) ** 0.5)


def test_a_draw_above_a_bound_is_one_of_those_above_it() -> None:
    column = [1, 2, 3, 5, 8]
    assert {pick_above(column, 0, 5, chance << 27, 3) for chance in range(16)} == {5, 8}
    assert pick_above(column, 0, 5, 0, 8) == -1
