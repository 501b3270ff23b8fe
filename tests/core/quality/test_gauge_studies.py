"""Gauge studies: variances add up, order does not matter, edge cases and refusals of both ways."""

from decimal import Decimal
from fractions import Fraction
from random import Random
from statistics import stdev

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.core.quality.chart_constants import chart_constants, range_mean_of_few
from app.core.quality.errors import Fault
from app.core.quality.gauge_anova import Source, study_by_anova
from app.core.quality.gauge_ranges import study_by_ranges
from app.core.quality.gauge_study import Components, Rating
from tests.core.quality.refusals import refused

READINGS = st.decimals("-5", "5", places=2)
STUDIES = st.tuples(st.integers(1, 3), st.integers(2, 4), st.integers(2, 3)).flatmap(
    lambda shape: st.lists(
        st.lists(st.lists(READINGS, min_size=shape[2], max_size=shape[2]), min_size=shape[1], max_size=shape[1]),
        min_size=shape[0],
        max_size=shape[0],
    )
)


def study(*appraisers):
    return [[[Decimal(trial) for trial in part.split()] for part in appraiser] for appraiser in appraisers]


def drawn(appraisers, parts, trials, equipment, people, between):
    """Draw a study; return its readings and the standard deviations of the appraisers and parts drawn."""
    random = Random(17)
    part_levels = [random.gauss(0, between) for _ in range(parts)]
    levels = [random.gauss(0, people) for _ in range(appraisers)]
    readings = [
        [[Decimal(f"{level + part + random.gauss(0, equipment):.4f}") for _ in range(trials)] for part in part_levels]
        for level in levels
    ]
    return readings, stdev(levels), stdev(part_levels)


@given(STUDIES)
def test_squares_and_degrees_of_freedom_add_up_to_the_whole(readings):
    found = study_by_anova(readings)
    values = [Fraction(trial) for appraiser in readings for part in appraiser for trial in part]
    center = sum(values) / len(values)
    for table in (found.full, found.pooled or found.full):
        assert sum(row.squares for row in table) == sum((value - center) ** 2 for value in values)
        assert sum(row.degrees for row in table) == len(values) - 1
        assert all(row.squares >= 0 for row in table)
        assert all(row.chance is None or 0 <= row.chance <= 1 for row in table)


@given(STUDIES)
def test_no_variance_is_negative_and_gauge_and_parts_make_the_total(readings):
    for components in (study_by_anova(readings).components, study_by_ranges(readings).components):
        parts = (components.equipment, components.appraiser, components.interaction, components.part)
        assert min(parts) >= 0
        assert components.total == sum(parts)
        if components.total:
            shares = [components.percent_contribution(each) for each in (components.gauge, components.part)]
            assert sum(shares) == pytest.approx(100)
            squares = [components.percent(each) ** 2 for each in (components.gauge, components.part)]
            assert sum(squares) == pytest.approx(10_000)


@given(STUDIES, st.randoms(use_true_random=False))
def test_the_order_of_appraisers_parts_and_trials_does_not_matter(readings, random):
    order = random.sample(range(len(readings[0])), len(readings[0]))
    mixed = [[random.sample(person[part], len(person[part])) for part in order] for person in readings]
    random.shuffle(mixed)
    assert study_by_anova(mixed).components == study_by_anova(readings).components
    assert study_by_ranges(mixed).components == study_by_ranges(readings).components


@given(STUDIES, READINGS)
def test_a_shift_of_all_readings_changes_nothing(readings, shift):
    shifted = [[[trial + shift for trial in part] for part in person] for person in readings]
    assert study_by_anova(shifted).components == study_by_anova(readings).components
    assert study_by_ranges(shifted).components == study_by_ranges(readings).components


def test_both_ways_find_what_was_put_in():
    readings, people, between = drawn(appraisers=20, parts=25, trials=3, equipment=0.2, people=0.5, between=2.0)
    for found in (study_by_anova(readings).components, study_by_ranges(readings).components):
        assert float(found.equipment) ** 0.5 == pytest.approx(0.2, rel=0.05)
        assert float(found.appraiser) ** 0.5 == pytest.approx(people, rel=0.1)
        assert float(found.part) ** 0.5 == pytest.approx(between, rel=0.1)


def test_an_appraiser_who_takes_to_parts_differently_is_told_from_the_equipment():
    found = study_by_anova(study(["1.0 1.1", "2.0 2.1", "3.0 3.1"], ["3.0 3.1", "2.0 2.1", "1.0 1.1"]))
    assert found.pooled is None
    assert found.components.interaction > 0
    assert {row.source for row in found.full} == set(Source)


def test_the_threshold_of_pooling_can_be_set():
    readings, _, _ = drawn(3, 5, 2, equipment=0.2, people=0.1, between=1.0)
    assert study_by_anova(readings, Decimal(0)).pooled is not None
    assert study_by_anova(readings, Decimal(1)).pooled is None
    with refused(Fault.NOT_BETWEEN, what="pooling", value=Decimal("1.1"), low=0, high=1):
        study_by_anova(readings, Decimal("1.1"))


def test_trials_that_all_agree_leave_only_parts_and_appraisers():
    readings = study(["1 1", "2 2"], ["1 1", "2 2"])
    found = study_by_anova(readings).components
    assert (found.equipment, found.appraiser, found.interaction) == (0, 0, 0)
    assert (found.categories, found.exact_categories, found.rating) == (None, None, Rating.GOOD)
    assert study_by_ranges(readings).components.gauge == 0


def test_readings_that_are_all_equal_prove_nothing():
    for found in (study_by_anova, study_by_ranges):
        components = found(study(["1 1", "1 1"], ["1 1", "1 1"])).components
        assert (components.percent(components.gauge), components.percent_contribution(components.part)) == (None, None)
        assert components.rating is Rating.UNFIT


def test_one_appraiser_has_no_reproducibility():
    readings = study(["1.0 1.1", "2.0 2.2", "3.1 3.0"])
    assert study_by_ranges(readings).components.reproducibility == 0
    found = study_by_anova(readings)
    assert [row.source for row in found.full] == [Source.PART, Source.EQUIPMENT]
    assert (found.pooled, found.components.reproducibility) == (None, 0)


def test_few_ranges_are_divided_by_the_constant_for_few():
    few = study_by_ranges(study(["1 2", "2 4"], ["1 2", "2 4"]))
    assert few.components.equipment == (few.average_range / Fraction(range_mean_of_few(2, 4))) ** 2
    many = study_by_ranges(study(*[["1 2", "2 4"]] * 8))
    assert many.components.equipment == (many.average_range / Fraction(chart_constants(2).d2)) ** 2


def test_trials_that_differ_too_much_are_named():
    readings = study(["1.00 1.01"] * 9 + ["1.00 1.20"], ["1.00 1.01"] * 10)
    assert study_by_ranges(readings).beyond == ((0, 9),)


@pytest.mark.parametrize(
    ("gauge", "rating"),
    [("0.0099", Rating.GOOD), ("0.01", Rating.MAY_DO), ("0.09", Rating.MAY_DO), ("0.0901", Rating.UNFIT)],
)
def test_ratings_change_at_ten_and_thirty_percent(gauge, rating):
    equipment = Fraction(gauge)
    assert Components(equipment, Fraction(0), Fraction(0), 1 - equipment).rating is rating


def test_the_share_of_a_tolerance_takes_six_deviations():
    assert Components(Fraction(1, 100), Fraction(0), Fraction(0), Fraction(1)).percent_of_tolerance(Fraction(6)) == 10


@pytest.mark.parametrize(
    ("readings", "what", "count", "least"),
    [
        ([], "appraisers", 0, 1),
        (study([]), "parts", 0, 2),
        (study(["1 2"], ["1 2"]), "parts", 1, 2),
        (study(["1", "2"], ["1", "2"]), "trials", 1, 2),
    ],
)
def test_a_study_that_is_too_small_is_refused(readings, what, count, least):
    for way in (study_by_ranges, study_by_anova):
        with refused(Fault.TOO_FEW, what=what, count=count, least=least):
            way(readings)


def test_missing_trials_are_named():
    with refused(Fault.UNBALANCED, appraiser=1, part=0, trials=1, expected=2):
        study_by_anova(study(["1 2", "1 2"], ["1", "1 2"]))
    with refused(Fault.UNBALANCED, appraiser=1, part=1, trials=0, expected=2):
        study_by_ranges(study(["1 2", "1 2"], ["1 2"]))


def test_more_parts_than_there_are_constants_for_are_refused():
    with refused(Fault.TOO_LARGE, what="parts", value=26, most=25):
        study_by_ranges(study(["1 2"] * 26))
    assert len(study_by_anova(study(["1 2"] * 26)).full) == 2
