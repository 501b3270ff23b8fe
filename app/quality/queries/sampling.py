"""Samples by lot size: the plan for a lot, the tables, and how likely lots pass that are so bad."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Final

from app.core.quality.acceptance import chance_to_pass_lot, zero_acceptance_size
from app.core.quality.picture import Frame, Scale, nice_ticks
from app.core.quality.sampling_plans import SinglePlan, code_letter, single_plan

SHOWN_LIMITS: Final = tuple(Decimal(each) for each in ("0.40", "0.65", "1.0", "1.5", "2.5", "4.0", "6.5"))
SHOWN_SHARES: Final = tuple(Decimal(each) for each in ("0.5", "1", "2", "4", "6.5", "10"))
LOTS: Final = (
    (2, 8),
    (9, 15),
    (16, 25),
    (26, 50),
    (51, 90),
    (91, 150),
    (151, 280),
    (281, 500),
    (501, 1200),
    (1201, 3200),
)
"""The sizes of lots that the tables show: the steps of ISO 2859-1 up to what a small shop makes."""
CURVE: Final = Frame(left=70, top=16, width=850, height=260)
POINTS: Final = 24
HUNDRED: Final = Fraction(100)


@dataclass(frozen=True, slots=True)
class ChancePoint:
    """A lot with so many bad pieces, and how likely it passes by either plan."""

    bad: int
    percent: Fraction
    by_plan: Fraction
    by_zero: Fraction


@dataclass(frozen=True, slots=True)
class Curve:
    """Both curves as paths, with the ticks of their axes."""

    frame: Frame
    by_plan: str
    by_zero: str
    x_ticks: tuple[tuple[Decimal, str], ...]
    y_ticks: tuple[tuple[Decimal, str], ...]


@dataclass(frozen=True, slots=True)
class Sampled:
    """What is taken of a lot.

    Attributes:
        lot: its pieces.
        letter: its code letter, before arrows are followed.
        plan: the single plan of ISO 2859-1, behind all arrows.
        zero: how many are taken where no bad piece is allowed.
        points: how likely it passes with more and more bad pieces.
        curve: the same as a picture.
    """

    lot: int
    letter: str
    plan: SinglePlan
    zero: int
    points: tuple[ChancePoint, ...]
    curve: Curve


@dataclass(frozen=True, slots=True)
class Row:
    """A line of the tables: lots from ``least`` to ``most`` pieces."""

    least: int
    most: int
    letter: str
    plans: tuple[SinglePlan, ...]
    zeros: tuple[int, ...]


def sample_of(lot: int, quality_limit: Decimal, share: Decimal, confidence: Decimal) -> Sampled:
    """Return what is taken of a lot by both ways; share and confidence in percent.

    Raises:
        BadInputError: one of them makes no sense.
    """
    plan = single_plan(lot, quality_limit)
    zero = zero_acceptance_size(lot, share / 100, confidence / 100)
    points = tuple(_points(lot, plan, zero, max(share, quality_limit)))
    return Sampled(lot, code_letter(max(lot, 2)), plan, zero, points, _curve(points))


def _points(lot: int, plan: SinglePlan, zero: int, around: Decimal) -> Sequence[ChancePoint]:
    """Return points up to four times the share that is asked about, or six bad pieces."""
    most = min(lot, max(6, ceil(lot * around * 4 / 100)))
    step = -(-most // POINTS)
    return [
        ChancePoint(
            bad,
            bad * HUNDRED / lot,
            chance_to_pass_lot(lot, bad, plan.size, plan.accept),
            chance_to_pass_lot(lot, bad, zero, 0),
        )
        for bad in range(0, most + 1, step)
    ]


def _curve(points: Sequence[ChancePoint]) -> Curve:
    ticks = nice_ticks(Fraction(0), points[-1].percent, 10)
    x = Scale(Fraction(0), Fraction(ticks[-1]), CURVE.left, CURVE.left + CURVE.width)
    y = Scale(Fraction(0), Fraction(1), CURVE.top + CURVE.height, CURVE.top)

    def path(chances: Sequence[Fraction]) -> str:
        at = (f"{x.at(point.percent)} {y.at(chance)}" for point, chance in zip(points, chances, strict=True))
        return "M" + "L".join(at)

    return Curve(
        CURVE,
        by_plan=path([each.by_plan for each in points]),
        by_zero=path([each.by_zero for each in points]),
        x_ticks=tuple((x.at(tick), f"{tick:f} %") for tick in ticks),
        y_ticks=tuple((y.at(Fraction(each, 100)), f"{each} %") for each in (0, 20, 40, 60, 80, 100)),
    )


def sampling_table(confidence: Decimal) -> list[Row]:
    """Return both tables: plans by quality limit, and samples without a bad piece for the largest lot of each step.

    Raises:
        BadInputError: the confidence, in percent, is not between 0 and 100.
    """
    return [
        Row(
            least,
            most,
            code_letter(most),
            tuple(single_plan(most, limit) for limit in SHOWN_LIMITS),
            tuple(zero_acceptance_size(most, share / 100, confidence / 100) for share in SHOWN_SHARES),
        )
        for least, most in LOTS
    ]
