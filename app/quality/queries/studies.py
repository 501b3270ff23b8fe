"""Studies of gauges, with what they say both ways."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.quality.exact_sums import root
from app.core.quality.gauge_anova import AnovaStudy, study_by_anova
from app.core.quality.gauge_ranges import RangeStudy, study_by_ranges
from app.core.quality.gauge_study import Components
from app.parts.models import Characteristic, Revision
from app.quality.errors import StudyNotFoundError
from app.quality.models import GaugeStudy
from app.shared.words import gettext


@dataclass(frozen=True, slots=True)
class Line:
    """A source of variation: its standard deviation, and its share in percent of the total one."""

    name: str
    deviation: Fraction
    percent: float | None


@dataclass(frozen=True, slots=True)
class Study:
    """What a study says, by averages and ranges and by analysis of variance."""

    row: GaugeStudy
    ranges: RangeStudy
    anova: AnovaStudy
    tolerance: Fraction | None

    @property
    def places(self) -> int:
        """Return how many decimal places its values have."""
        values = (each for measured in self.row.typed for trials in measured for each in trials)
        return max((len(each.partition(".")[2]) for each in values), default=0)

    def lines(self, components: Components) -> list[Line]:
        """Return the sources of variation, by their standard deviations."""
        named = (
            (gettext("Repeatability (equipment)"), components.equipment),
            (gettext("Reproducibility (people)"), components.reproducibility),
            (gettext("Gauge, both together"), components.gauge),
            (gettext("Parts"), components.part),
            (gettext("Total"), components.total),
        )
        return [Line(name, root(variance), components.percent(variance)) for name, variance in named]

    def percent_of_tolerance(self, components: Components) -> float | None:
        """Return six standard deviations of the gauge in percent of the tolerance; None where there is none."""
        return components.percent_of_tolerance(self.tolerance) if self.tolerance else None


def get_study(session: orm.Session, study_id: int) -> Study:
    """Return one study and what it says.

    Raises:
        StudyNotFoundError: there is none.
    """
    row = session.scalars(
        sa.select(GaugeStudy)
        .where(GaugeStudy.id == study_id)
        .options(
            orm.joinedload(GaugeStudy.gauge),
            orm.joinedload(GaugeStudy.characteristic).joinedload(Characteristic.revision).joinedload(Revision.part),
            orm.joinedload(GaugeStudy.recorded_by),
        )
    ).one_or_none()
    if row is None:
        raise StudyNotFoundError
    measured = row.characteristic is not None and row.characteristic.is_measured
    tolerance = row.characteristic.limits.width if row.characteristic is not None and measured else None
    return Study(row, study_by_ranges(row.readings), study_by_anova(row.readings), tolerance)


def studies_of(session: orm.Session, gauge_id: int) -> Sequence[GaugeStudy]:
    """Return the studies of a gauge, the newest first."""
    chosen = sa.select(GaugeStudy).where(GaugeStudy.gauge_id == gauge_id).order_by(GaugeStudy.id.desc())
    return session.scalars(chosen).all()


def measured_with(session: orm.Session, kind_id: int) -> list[tuple[int, str]]:
    """Return the characteristics of current revisions that are measured with a kind of gauge, for a chooser."""
    rows = session.scalars(
        sa.select(Characteristic)
        .join(Characteristic.revision)
        .join(Revision.part)
        .where(Characteristic.gauge_kind_id == kind_id, ~Characteristic.retired, Revision.current)
        .order_by(Revision.part_id, Characteristic.number)
        .options(orm.contains_eager(Characteristic.revision).contains_eager(Revision.part))
    )
    return [(row.id, f"{row.revision.part.number} {row.revision.label}, {row.number} {row.name}") for row in rows]
