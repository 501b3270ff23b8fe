"""Chart constants against a printed table."""

import pytest

from app.core.quality.chart_constants import chart_constants, range_mean_of_few

# "Factors for Constructing Control Charts" as printed in statistics handbooks (table A.22, p. 766, three decimals; the
# same table is in ASTM E2587 and MNL 7, from memory): n, d2, d3, c4, A2, A3, D3, D4, B3, B4. Prints differ by one in
# the last place, such as D4(3) 2.574 and 2.575.
PRINTED = """
2 1.128 0.853 0.798 1.880 2.659 0     3.267 0     3.267
3 1.693 0.888 0.886 1.023 1.954 0     2.574 0     2.568
4 2.059 0.880 0.921 0.729 1.628 0     2.282 0     2.266
5 2.326 0.864 0.940 0.577 1.427 0     2.114 0     2.089
6 2.534 0.848 0.952 0.483 1.287 0     2.004 0.030 1.970
7 2.704 0.833 0.959 0.419 1.182 0.076 1.924 0.118 1.882
8 2.847 0.820 0.965 0.373 1.099 0.136 1.864 0.185 1.815
9 2.970 0.808 0.969 0.337 1.032 0.184 1.816 0.239 1.761
10 3.078 0.797 0.973 0.308 0.975 0.223 1.777 0.284 1.716
""".strip().splitlines()


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: f"n{row.split()[0]}")
def test_factors_for_constructing_control_charts(row):
    size, *printed = row.split()
    own = chart_constants(int(size))
    names = (own.d2, own.d3, own.c4, own.aa2, own.aa3, own.dd3, own.dd4, own.bb3, own.bb4)
    assert names == pytest.approx(tuple(map(float, printed)), abs=0.001)


def test_the_factor_of_an_individuals_chart():
    # printed as 2.66 (three over d2 of two)
    assert chart_constants(2).ee2 == pytest.approx(2.66, abs=0.002)
    assert [round(chart_constants(size).ee2, 3) for size in (3, 5, 10)] == [1.772, 1.290, 0.975]


@pytest.mark.parametrize(
    ("size", "groups", "printed"),
    [(2, 1, "0.7071"), (3, 1, "0.5231"), (10, 1, "0.3146")],
)
def test_factors_of_a_gauge_study(size, groups, printed):
    # AIAG, Measurement Systems Analysis, 4th ed.: K2 for two and three appraisers, K3 for ten parts, as 1 / d2*
    assert 1 / range_mean_of_few(size, groups) == pytest.approx(float(printed), abs=5e-5)


@pytest.mark.parametrize(("trials", "printed"), [(2, "0.8862"), (3, "0.5908")])
def test_factors_of_the_equipment(trials, printed):
    # the same: K1 for two and three trials
    assert 1 / chart_constants(trials).d2 == pytest.approx(float(printed), abs=5e-5)
