"""The gauge study of AIAG both ways, with statsmodels as a second opinion on the analysis of variance."""

from decimal import Decimal
from pathlib import Path

import pandas as pd
import pytest
from statsmodels.formula.api import ols
from statsmodels.stats.anova import anova_lm

from app.core.quality.gauge_anova import Source, study_by_anova
from app.core.quality.gauge_ranges import study_by_ranges
from app.core.quality.gauge_study import Rating

# AIAG, Measurement Systems Analysis, 4th ed., figure III-B 15: 3 appraisers, 10 parts, 3 trials
DATA = Path(__file__).parent / "data" / "gauge_study.txt"
LINES = [[Decimal(value) for value in line.split()[1:]] for line in DATA.read_text().splitlines()[1:]]
READINGS = [[list(trials) for trials in zip(*LINES[start : start + 3], strict=True)] for start in (0, 3, 6)]


def deviations(components):
    parts = (components.equipment, components.reproducibility, components.gauge, components.part, components.total)
    return [float(each) ** 0.5 for each in parts]


def percents(components):
    parts = (components.equipment, components.reproducibility, components.gauge, components.part)
    return [components.percent(each) for each in parts]


def test_average_and_range():
    # the same book, figures III-B 16 and 17
    found = study_by_ranges(READINGS)
    assert [float(each) for each in found.average_ranges] == pytest.approx([0.184, 0.513, 0.328], abs=5e-4)
    assert [float(each) for each in found.averages] == pytest.approx([0.1903, 0.0683, -0.2543], abs=5e-5)
    figures = [found.average_range, found.difference, found.part_range, found.range_limit]
    assert [float(each) for each in figures] == pytest.approx([0.3417, 0.4447, 3.511, 0.880], abs=5e-4)
    # appraiser B measured the fourth part as 0.01, 1.03 and 0.20
    assert found.beyond == ((1, 3),)


def test_average_and_range_result():
    # printed to four places; to five from memory (.20188 .22963 .30575 1.10456 1.14610), with K3 rounded to .3146
    components = study_by_ranges(READINGS).components
    assert deviations(components) == pytest.approx([0.2019, 0.2297, 0.3058, 1.1046, 1.1461], abs=2e-4)
    assert percents(components) == pytest.approx([17.6, 20.0, 26.7, 96.4], abs=0.06)
    assert (components.categories, components.rating) == (5, Rating.MAY_DO)
    assert components.exact_categories == pytest.approx(5.09, abs=0.005)


def test_analysis_of_variance_table():
    # the same book, table III-B 7 (from memory); recomputed below with statsmodels
    rows = {row.source: row for row in study_by_anova(READINGS).full}
    assert {source: row.degrees for source, row in rows.items()} == {
        Source.PART: 9,
        Source.APPRAISER: 2,
        Source.INTERACTION: 18,
        Source.EQUIPMENT: 60,
    }
    assert [float(row.squares) for row in rows.values()] == pytest.approx([88.3619, 3.1673, 0.3590, 2.7589], abs=5e-5)
    assert [float(row.mean_square) for row in rows.values()] == pytest.approx(
        [9.81799, 1.58363, 0.01994, 0.04598], abs=5e-6
    )
    ratios = [rows[source].ratio for source in (Source.PART, Source.APPRAISER, Source.INTERACTION)]
    assert ratios == pytest.approx([492.29, 79.41, 0.434], abs=5e-3)
    assert rows[Source.INTERACTION].chance == pytest.approx(0.974, abs=5e-4)


def test_analysis_of_variance_result():
    # the same book, table III-B 8 (from memory): the interaction is pooled
    found = study_by_anova(READINGS)
    components = found.components
    assert found.pooled is not None
    assert float(components.equipment) == pytest.approx(0.039973, abs=5e-7)
    assert deviations(components) == pytest.approx([0.199933, 0.226838, 0.302373, 1.042327, 1.085300], abs=5e-6)
    assert percents(components) == pytest.approx([18.42, 20.90, 27.86, 96.04], abs=5e-3)
    shares = [components.equipment, components.reproducibility, components.gauge, components.part]
    assert [components.percent_contribution(each) for each in shares] == pytest.approx(
        [3.39, 4.37, 7.76, 92.24], abs=6e-3
    )
    assert components.categories == 4
    assert components.exact_categories == pytest.approx(4.86, abs=5e-3)


@pytest.mark.parametrize(
    ("formula", "pooled"), [("value ~ C(part) * C(appraiser)", False), ("value ~ C(part) + C(appraiser)", True)]
)
def test_second_opinion_of_statsmodels(formula, pooled):
    cells = [
        {"appraiser": appraiser, "part": part, "value": float(trial)}
        for appraiser, parts in enumerate(READINGS)
        for part, trials in enumerate(parts)
        for trial in trials
    ]
    table = anova_lm(ols(formula, pd.DataFrame(cells)).fit())
    found = study_by_anova(READINGS)
    rows = found.pooled if pooled else found.full
    assert [float(row.squares) for row in rows] == pytest.approx(list(table["sum_sq"]), rel=1e-9)
    assert [row.degrees for row in rows] == list(table["df"])
    # it tests everything against the residual: the same test where the interaction is pooled or is what is tested
    tested = [row for row in rows if pooled or row.source is Source.INTERACTION]
    others = table.iloc[:-1] if pooled else table.iloc[2:3]
    for row, (ratio, chance) in zip(tested, others[["F", "PR(>F)"]].itertuples(index=False), strict=False):
        assert row.ratio == pytest.approx(ratio, rel=1e-9)
        assert row.chance == pytest.approx(chance, rel=1e-7)
