"""Lines and analysis of variance against certified values: NIST Statistical Reference Datasets, as scipy ships them."""

from decimal import Decimal
from importlib.resources import files

import pytest

from app.core.quality.drift import fit_line
from app.core.quality.exact_sums import exact_values
from app.core.quality.gauge_anova import study_by_anova

STRD = files("scipy.stats.tests") / "data"


def rows_behind(text, first):
    """Return the numbers of a data file from a line (counted from 1) on."""
    return [[Decimal(value) for value in line.split()] for line in text.splitlines()[first - 1 :] if line.strip()]


def test_calibration_line():
    # NIST StRD, linear regression, Norris: certified estimates, standard errors and residual standard deviation
    data = rows_behind((STRD / "nist_linregress" / "Norris.dat").read_text(), 61)
    y, x = (exact_values(column) for column in zip(*data, strict=True))
    line = fit_line(x, y)
    assert len(data) == 36
    assert float(line.intercept) == pytest.approx(-0.262323073774029, rel=1e-14)
    assert float(line.slope) == pytest.approx(1.00211681802045, rel=1e-14)
    assert float(line.intercept_error) == pytest.approx(0.232818234301152, rel=1e-14)
    assert float(line.slope_error) == pytest.approx(0.429796848199937e-03, rel=1e-14)
    assert float(line.residual) == pytest.approx(0.884796396144373, rel=1e-14)
    assert float((line.slope / line.slope_error) ** 2) == pytest.approx(5436385.54079785, rel=1e-13)


@pytest.mark.parametrize("name", ["SiRstv", "AtmWtAg", *(f"SmLs0{number}" for number in range(1, 7))])
def test_one_way_analysis_of_variance(name):
    # NIST StRD, analysis of variance: certified sums of squares and F stand in each file; a study with one appraiser is
    # such an analysis (of 13 digits, as SmLs07 to SmLs09 have them, a reading has none)
    text = (STRD / "nist_anova" / f"{name}.dat").read_text()
    certified = next(line.split()[-4:] for line in text.splitlines() if line.startswith("Between "))
    within = next(line.split()[-3:] for line in text.splitlines() if line.startswith("Within "))
    data = rows_behind(text, 61)
    treatments = sorted({treatment for treatment, _ in data})
    found = study_by_anova([[[value for at, value in data if at == treatment] for treatment in treatments]])
    part, equipment = found.full
    assert [part.degrees, equipment.degrees] == [int(certified[0]), int(within[0])]
    assert float(part.squares) == pytest.approx(float(certified[1]), rel=1e-13)
    assert float(equipment.squares) == pytest.approx(float(within[1]), rel=1e-13)
    assert part.ratio == pytest.approx(float(certified[3]), rel=1e-13)
