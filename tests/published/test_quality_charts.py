"""Control charts against worked examples."""

from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from app.core.quality.capability import assess
from app.core.quality.control_charts import Stability, individuals_chart, mean_deviation_chart, mean_range_chart
from app.core.quality.ewma import ewma_around
from app.core.quality.run_rules import Rule
from app.core.quality.tolerances import Limits

FLOW_RATE = ["49.6", "47.6", "49.9", "51.3", "47.8", "51.2", "52.6", "52.4", "53.6", "52.1"]
DATA = Path(__file__).parent / "data" / "flow_width.txt"
FLOW_WIDTH = [[Decimal(value) for value in line.split()] for line in DATA.read_text().splitlines()[1:]]
PHASE_ONE = FLOW_WIDTH[:25]
FLOW_LIMITS = Limits(Decimal("1.00"), Decimal("2.00"), Decimal("1.50"))


def numbers(*values):
    return [float(value) for value in values]


def test_individuals_of_the_flow_rate():
    # NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2; its limits take d2 as 1.128
    chart = individuals_chart([Decimal(value) for value in FLOW_RATE])
    assert [float(each) for each in chart.spread.points] == [2.0, 2.3, 1.4, 3.5, 3.4, 1.4, 0.2, 1.2, 1.5]
    center, average = chart.level.limits.center, chart.spread.limits.center
    assert numbers(center, average) == pytest.approx([50.81, 1.8778], abs=5e-5)
    rounded = Fraction("1.128")
    assert numbers(center + 3 * average / rounded, center - 3 * average / rounded) == pytest.approx(
        [55.8041, 45.8159], abs=5e-5
    )
    assert numbers(chart.level.limits.upper, chart.level.limits.lower) == pytest.approx([55.8024, 45.8176], abs=5e-5)
    # the limit of the moving range is not printed there; recomputed with D4 = 3.267
    assert float(chart.spread.limits.upper) == pytest.approx(6.1347, abs=2e-3)
    assert chart.level.signals == chart.spread.signals == ()


def test_weighted_averages():
    # NIST/SEMATECH e-Handbook, 6.3.2.4 (from memory): centre 50, sigma 2.0539, weight 0.3; steady limits printed
    data = [
        "52.0",
        "47.0",
        "53.0",
        "49.3",
        "50.1",
        "47.0",
        "51.0",
        "50.1",
        "51.2",
        "50.5",
        "49.6",
        "47.6",
        "49.9",
        "51.3",
        "47.8",
        "51.2",
        "52.6",
        "52.4",
        "53.6",
        "52.1",
    ]
    printed = [
        "50.60",
        "49.52",
        "50.56",
        "50.18",
        "50.16",
        "49.21",
        "49.75",
        "49.85",
        "50.26",
        "50.33",
        "50.11",
        "49.36",
        "49.52",
        "50.05",
        "49.38",
        "49.92",
        "50.73",
        "51.23",
        "51.94",
        "51.99",
    ]
    chart = ewma_around([Decimal(value) for value in data], Fraction(50), Fraction("2.0539"), weight=Decimal("0.3"))
    assert numbers(*chart.points) == pytest.approx(numbers(*printed), abs=0.0051)
    assert numbers(chart.steady_upper, chart.steady_lower) == pytest.approx([52.5884, 47.4115], abs=2e-4)
    assert not [point for point in chart.points if not chart.steady_lower <= point <= chart.steady_upper]


def test_flow_width_phase_one():
    # Montgomery, Introduction to Statistical Quality Control, table 6.1: 25 samples of 5. The data that circulate give
    # an average range of 0.325168 where 0.32521 is printed, hence the tolerance.
    chart = mean_range_chart(PHASE_ONE)
    level, spread = chart.level.limits, chart.spread.limits
    assert numbers(level.center, spread.center) == pytest.approx([1.5056, 0.32521], abs=1e-4)
    assert numbers(level.upper, level.lower) == pytest.approx([1.69325, 1.31795], abs=1e-4)
    assert numbers(spread.upper, spread.lower) == pytest.approx([0.68749, 0], abs=3e-4)
    assert float(chart.within) == pytest.approx(0.1398, abs=5e-5)
    assert chart.stability() is Stability.STABLE


def test_flow_width_capability():
    # the same example: limits 1.50 +- 0.50 give Cp 1.192 and about 350 pieces out of a million
    capability = assess(mean_range_chart(PHASE_ONE), FLOW_LIMITS).capability
    assert capability.width.value == pytest.approx(1.192, abs=5e-4)
    assert capability.expected_out == pytest.approx(0.00035, abs=5e-6)
    # recomputed, not printed
    assert capability.nearest.value == pytest.approx(1.1788, abs=1e-4)


def test_flow_width_by_standard_deviations():
    # the same data, recomputed with A3 = 1.427 and B4 = 2.089, no printed source
    chart = mean_deviation_chart(PHASE_ONE)
    assert float(chart.spread.limits.center) == pytest.approx(0.13154, abs=5e-6)
    assert numbers(chart.level.limits.upper, chart.level.limits.lower) == pytest.approx([1.69332, 1.31789], abs=5e-5)
    assert float(chart.spread.limits.upper) == pytest.approx(0.27479, abs=2e-5)


def test_flow_width_phase_two():
    # Montgomery, table 6.2: samples 26 to 45 against the limits of the first 25; 43 (1.6970) and 45 (1.7700) are out
    chart = mean_range_chart(FLOW_WIDTH, rules={Rule.BEYOND_LIMIT}, base=range(25))
    assert chart.level.limits == mean_range_chart(PHASE_ONE).level.limits
    assert [signal.point + 1 for signal in chart.level.signals] == [43, 45]
    assert [round(float(chart.level.points[index - 1]), 4) for index in (43, 45)] == [1.6970, 1.7700]
    assert chart.spread.signals == ()
    assert assess(chart, FLOW_LIMITS).capability is None
