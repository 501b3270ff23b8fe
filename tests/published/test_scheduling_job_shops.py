"""Plans by dispatch of job shops whose optimum is known; sources stand in the instances' files beside this one."""

import pytest

from app.core.job_shop_text import read_job_shop
from app.core.plan_check import check
from tests.core.planning.plans import plan
from tests.published.job_shops import best_known, jobs_of, proved, tardiness_shop, texts

NAMES = [
    "ft06",
    "ft10",
    "ft20",
    "la01",
    "la05",
    "la21",
    "la40",
    "abz5",
    "orb01",
    "orb07",
    "swv01",
    "yn1",
    "ta01",
    "ta11",
]


@pytest.mark.parametrize("name", NAMES)
def test_a_plan_is_proved_and_lies_between_the_optimum_and_the_work_done_one_by_one(name):
    case = read_job_shop(texts()[name])
    found = plan(case)
    assert check(case, found) == ()
    assert found.status == "planned"
    assert best_known()[name][0] <= found.makespan <= sum(time for job in jobs_of(name) for _, time in job)


@pytest.mark.parametrize("name", sorted(proved()["1.5"]))
def test_no_plan_has_less_weighted_tardiness_than_was_proved_to_be_the_least(name):
    for factor in ("1.3", "1.5", "1.6"):
        case = tardiness_shop(name, factor)
        found = plan(case)
        assert check(case, found) == ()
        assert found.weighted_tardiness >= proved().get(factor, {}).get(name, 0)
