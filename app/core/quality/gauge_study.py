"""What a study of repeatability and reproducibility says about a gauge, whichever way it was computed.

Several appraisers measure the same parts several times each. The variation found is shared out among the equipment
(repeatability), the appraisers (reproducibility), how an appraiser takes to a part (interaction), and the parts.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import TypeAlias

from app.core.quality.errors import BadInputError, Fault, Figure
from app.core.quality.exact_sums import exact_values, root

Readings: TypeAlias = Sequence[Sequence[Sequence[Decimal]]]
"""``readings[appraiser][part][trial]``."""

Cells: TypeAlias = tuple[tuple[tuple[Fraction, ...], ...], ...]

ENOUGH_CATEGORIES = 5
_GOOD_PERCENT, _POOR_PERCENT = 10, 30
_CATEGORY_FACTOR = Fraction("1.41")
_SIGMAS_IN_TOLERANCE = 6


class Rating(StrEnum):
    """What a gauge is good for, by the share of its own variation."""

    GOOD = "good"
    MAY_DO = "may do"
    UNFIT = "unfit"


@dataclass(frozen=True, slots=True)
class Components:
    """Variances found in a study; their roots are the standard deviations of its report."""

    equipment: Fraction
    appraiser: Fraction
    interaction: Fraction
    part: Fraction

    @property
    def reproducibility(self) -> Fraction:
        """Variance due to the appraisers, interaction included."""
        return self.appraiser + self.interaction

    @property
    def gauge(self) -> Fraction:
        """Variance of the measurement: repeatability and reproducibility."""
        return self.equipment + self.reproducibility

    @property
    def total(self) -> Fraction:
        """Variance of everything."""
        return self.gauge + self.part

    def percent(self, variance: Fraction) -> float | None:
        """Return a standard deviation in percent of the total one; None where nothing varies at all."""
        return float(100 * root(variance / self.total)) if self.total else None

    def percent_contribution(self, variance: Fraction) -> float | None:
        """Return a variance in percent of the total variance; None where nothing varies at all."""
        return float(100 * variance / self.total) if self.total else None

    def percent_of_tolerance(self, tolerance: Fraction) -> float:
        """Return six standard deviations of the gauge in percent of a tolerance above zero.

        Source: AIAG MSA, 4th ed. (from memory).
        """
        return float(100 * _SIGMAS_IN_TOLERANCE * root(self.gauge) / tolerance)

    @property
    def exact_categories(self) -> float | None:
        """1.41 times the parts' standard deviation over the gauge's; None where the gauge does not vary."""
        return float(_CATEGORY_FACTOR * root(self.part / self.gauge)) if self.gauge else None

    @property
    def categories(self) -> int | None:
        """How many groups of parts the gauge tells apart (ndc), rounded down; at least 5 is asked for.

        Source: AIAG MSA, 4th ed.
        """
        return int(_CATEGORY_FACTOR * root(self.part / self.gauge)) if self.gauge else None

    @property
    def rating(self) -> Rating:
        """Below 10 % of the total variation good, to 30 % it may do, above it is unfit.

        Source: AIAG MSA, 4th ed. (2010).
        """
        percent = self.percent(self.gauge)
        if percent is None or percent > _POOR_PERCENT:
            return Rating.UNFIT
        return Rating.GOOD if percent < _GOOD_PERCENT else Rating.MAY_DO


def balanced(readings: Readings) -> Cells:
    """Return the readings as fractions, each appraiser having measured each part equally often, twice or more.

    Raises:
        BadInputError: TOO_FEW appraisers (1), parts (2) or trials (2); UNBALANCED with the first appraiser and part
            (from 0) that have more or fewer trials; NOT_A_NUMBER, TOO_MANY_DIGITS.
    """
    parts = max((len(measured) for measured in readings), default=0)
    trials = max((len(trials) for measured in readings for trials in measured), default=0)
    for what, count, least in (
        (Figure.APPRAISERS, len(readings), 1),
        (Figure.PARTS, parts, 2),
        (Figure.TRIALS, trials, 2),
    ):
        if count < least:
            raise BadInputError(Fault.TOO_FEW, what=what, count=count, least=least)
    for appraiser, measured in enumerate(readings):
        for part in range(parts):
            found = len(measured[part]) if part < len(measured) else 0
            if found != trials:
                raise BadInputError(Fault.UNBALANCED, appraiser=appraiser, part=part, trials=found, expected=trials)
    return tuple(tuple(exact_values(trials) for trials in measured) for measured in readings)
