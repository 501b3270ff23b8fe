"""What a sampling plan tells: how likely a lot passes, and how large a sample with no bad piece allowed must be."""

from bisect import bisect_left
from decimal import Decimal
from fractions import Fraction
from math import ceil, comb, perm

from app.core.measures import Number
from app.core.quality.distributions import beta_quantile
from app.core.quality.errors import Figure, at_least, at_most, inside, within

LARGEST_LOT = 1_000_000
LARGEST_SAMPLE = 10_000
LARGEST_ACCEPT = 100
DEFAULT_CONFIDENCE = Decimal("0.95")


def chance_to_pass(size: int, accept: int, bad_share: Number) -> Fraction:
    """Return how likely a lot passes when ``bad_share`` of a long run of pieces is bad: the operating characteristic.

    Binomial, exact: the sum over k up to ``accept`` of C(size, k) * p**k * (1 - p)**(size - k).

    Args:
        size: pieces in the sample, up to ``LARGEST_SAMPLE``.
        accept: bad pieces with which the lot still passes; zero or more, up to ``LARGEST_ACCEPT``.
        bad_share: from 0 to 1.

    Raises:
        BadInputError: TOO_SMALL, TOO_LARGE, NOT_BETWEEN.
    """
    _checked_plan(size, accept)
    within(Figure.BAD_SHARE, bad_share, 0, 1)
    bad, parts = Fraction(bad_share).as_integer_ratio()
    ways = sum(comb(size, k) * bad**k * (parts - bad) ** (size - k) for k in range(min(accept, size) + 1))
    return Fraction(ways, parts**size)


def chance_to_pass_lot(lot: int, bad: int, size: int, accept: int) -> Fraction:
    """Return how likely a lot with exactly ``bad`` bad pieces passes when ``size`` of its pieces are drawn.

    Hypergeometric, exact: the sum over k up to ``accept`` of C(bad, k) * C(lot - bad, size - k) / C(lot, size).

    Raises:
        BadInputError: TOO_SMALL, TOO_LARGE; a sample or bad pieces beyond the lot among them.
    """
    _checked_plan(size, accept)
    _checked_lot(lot)
    at_most(Figure.SAMPLE, size, lot)
    at_most(Figure.BAD, at_least(Figure.BAD, bad, 0), lot)
    ways = sum(comb(bad, k) * comb(lot - bad, size - k) for k in range(min(accept, size) + 1))
    return Fraction(ways, comb(lot, size))


def share_that_passes(size: int, accept: int, chance: Number) -> float:
    """Return the bad share with which a lot passes with just this chance: a point of the operating characteristic.

    With 0.95 it is what the producer may deliver at little risk, with 0.10 what the customer is kept from; with
    0.05 and the bad pieces found as ``accept`` it is the upper 95 % bound of the bad share (Clopper and Pearson 1934).
    From the incomplete beta function, since P(at most c of n) = 1 - I_p(c + 1, n - c).

    Raises:
        BadInputError: TOO_SMALL, TOO_LARGE (``accept`` must stay below ``size``), NOT_BETWEEN.
    """
    _checked_plan(size, accept)
    at_most(Figure.ACCEPT, accept, size - 1)
    return beta_quantile(1 - float(chance), accept + 1, size - accept)


def zero_acceptance_size(lot: int, share: Number, confidence: Number = DEFAULT_CONFIDENCE) -> int:
    """Return the smallest sample without a bad piece that proves, with this confidence, fewer than ``share`` bad.

    If ``share`` of the lot (rounded up to a whole piece, at least one) is bad, a sample of this size without
    replacement has at least one of them with the confidence. Hypergeometric, exact in whole numbers; for large lots it
    tends to the success run ``ln(1 - confidence) / ln(1 - share)``.

    Args:
        lot: pieces, up to ``LARGEST_LOT``.
        share: above 0 and below 1.
        confidence: above 0 and below 1.

    Raises:
        BadInputError: TOO_SMALL, TOO_LARGE, NOT_BETWEEN.
    """
    _checked_lot(lot)
    inside(Figure.SHARE, share, 0, 1)
    inside(Figure.CONFIDENCE, confidence, 0, 1)
    bad, risk = ceil(Fraction(share) * lot), 1 - Fraction(confidence)
    high = 1
    while not _is_missed_rarely(lot, bad, high, risk):
        high *= 2
    sizes = range(high // 2 + 1, high)
    return sizes.start + bisect_left(sizes, True, key=lambda size: _is_missed_rarely(lot, bad, size, risk))


def _is_missed_rarely(lot: int, bad: int, size: int, risk: Fraction) -> bool:
    """Tell whether ``size`` pieces miss all bad ones with at most ``risk``; the shorter product of the two is used."""
    few, many = sorted((bad, min(size, lot)))
    missed, all_ways = perm(lot - many, few), perm(lot, few)
    return missed * risk.denominator <= all_ways * risk.numerator


def _checked_plan(size: int, accept: int) -> None:
    at_most(Figure.SAMPLE, at_least(Figure.SAMPLE, size, 1), LARGEST_SAMPLE)
    at_most(Figure.ACCEPT, at_least(Figure.ACCEPT, accept, 0), LARGEST_ACCEPT)


def _checked_lot(lot: int) -> None:
    at_most(Figure.LOT, at_least(Figure.LOT, lot, 1), LARGEST_LOT)
