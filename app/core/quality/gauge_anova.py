"""Gauge study by analysis of variance, which also tells whether appraisers take to parts differently."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from math import inf

from app.core.quality.distributions import f_upper
from app.core.quality.errors import Figure, within
from app.core.quality.exact_sums import squares
from app.core.quality.gauge_study import Cells, Components, Readings, balanced

DEFAULT_POOLING = Decimal("0.05")


class Source(StrEnum):
    """Where variation comes from."""

    PART = "part"
    APPRAISER = "appraiser"
    INTERACTION = "interaction"
    EQUIPMENT = "equipment"


@dataclass(frozen=True, slots=True)
class Row:
    """A line of an analysis of variance; the equipment's has no test."""

    source: Source
    squares: Fraction
    degrees: int
    ratio: float | None = None
    """Mean square over that of the source it is tested against; infinite where that is zero."""
    chance: float | None = None
    """How likely a ratio as large is where the source has no effect."""

    @property
    def mean_square(self) -> Fraction:
        """Squares over degrees of freedom."""
        return self.squares / self.degrees


@dataclass(frozen=True, slots=True)
class AnovaStudy:
    """The tables and the variances of a study."""

    full: tuple[Row, ...]
    """With interaction: tested against equipment, parts and appraisers against interaction."""
    pooled: tuple[Row, ...] | None
    """Interaction counted with the equipment, which the others are tested against; None where it matters."""
    components: Components


def study_by_anova(readings: Readings, pooling: Decimal = DEFAULT_POOLING) -> AnovaStudy:
    """Return a study by two-way analysis of variance with random effects.

    Variances below zero count as zero. With one appraiser it is a one-way analysis of the parts.

    Source: AIAG MSA, 4th ed., chapter III section B, analysis of variance method (pooling at 0.05 from memory).

    Args:
        readings: balanced.
        pooling: the interaction is pooled with the equipment where its chance is above this; from 0 to 1.

    Raises:
        BadInputError: as ``gauge_study.balanced``; NOT_BETWEEN.
    """
    within(Figure.POOLING, pooling, 0, 1)
    cells = balanced(readings)
    bare = _bare_rows(cells)
    full = _tested(bare)
    if not _is_pooled(full, pooling):
        return AnovaStudy(tuple(full.values()), None, _components(full, cells))
    pooled = _tested(_pool(bare))
    return AnovaStudy(tuple(full.values()), tuple(pooled.values()), _components(pooled, cells))


def _bare_rows(cells: Cells) -> dict[Source, Row]:
    """Return sums of squares and degrees of freedom; sources without any degrees are left out."""
    appraisers, parts, trials = len(cells), len(cells[0]), len(cells[0][0])
    by_cell = [sum(each, Fraction(0)) for measured in cells for each in measured]
    by_appraiser = [sum(by_cell[start : start + parts], Fraction(0)) for start in range(0, len(by_cell), parts)]
    by_part = [sum(by_cell[part::parts], Fraction(0)) for part in range(parts)]
    total = squares([value for measured in cells for each in measured for value in each])
    part_squares = squares(by_part) / (appraisers * trials)
    appraiser_squares = squares(by_appraiser) / (parts * trials)
    cell_squares = squares(by_cell) / trials
    found = (
        Row(Source.PART, part_squares, parts - 1),
        Row(Source.APPRAISER, appraiser_squares, appraisers - 1),
        Row(Source.INTERACTION, cell_squares - part_squares - appraiser_squares, (parts - 1) * (appraisers - 1)),
        Row(Source.EQUIPMENT, total - cell_squares, appraisers * parts * (trials - 1)),
    )
    return {row.source: row for row in found if row.degrees}


def _tested(rows: dict[Source, Row]) -> dict[Source, Row]:
    equipment = rows[Source.EQUIPMENT]
    interaction = rows.get(Source.INTERACTION, equipment)
    against = {Source.PART: interaction, Source.APPRAISER: interaction, Source.INTERACTION: equipment}
    return {source: _test(row, against.get(source)) for source, row in rows.items()}


def _test(row: Row, against: Row | None) -> Row:
    if against is None:
        return row
    nothing = inf if row.squares else 0.0
    ratio = float(row.mean_square / against.mean_square) if against.squares else nothing
    return Row(row.source, row.squares, row.degrees, ratio, f_upper(ratio, row.degrees, against.degrees))


def _is_pooled(full: dict[Source, Row], pooling: Decimal) -> bool:
    interaction = full.get(Source.INTERACTION)
    return interaction is not None and interaction.chance is not None and interaction.chance > pooling


def _pool(rows: dict[Source, Row]) -> dict[Source, Row]:
    interaction, equipment = rows[Source.INTERACTION], rows[Source.EQUIPMENT]
    together = Row(Source.EQUIPMENT, interaction.squares + equipment.squares, interaction.degrees + equipment.degrees)
    return {source: row for source, row in rows.items() if row is not interaction} | {Source.EQUIPMENT: together}


def _components(rows: dict[Source, Row], cells: Cells) -> Components:
    appraisers, parts, trials = len(cells), len(cells[0]), len(cells[0][0])
    equipment = rows[Source.EQUIPMENT].mean_square
    error = rows.get(Source.INTERACTION, rows[Source.EQUIPMENT]).mean_square

    def variance(source: Source, beneath: Fraction, readings: int) -> Fraction:
        row = rows.get(source)
        return max((row.mean_square - beneath) / readings, Fraction(0)) if row else Fraction(0)

    return Components(
        equipment=equipment,
        appraiser=variance(Source.APPRAISER, error, parts * trials),
        interaction=variance(Source.INTERACTION, equipment, trials),
        part=variance(Source.PART, error, appraisers * trials),
    )
