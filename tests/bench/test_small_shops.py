"""What the constraint solver proved of the small shops, held against the checker and the decoder without it."""

import json

import pytest

from app.core.plan_check import check
from tests.bench.small_shops import SHOPS, proved_plans, small_shop
from tests.core.planning.plans import plan
from tests.published.job_shops import FOLDER

PROVED = proved_plans()


def test_most_are_proved_and_some_of_them_cannot_but_be_late():
    assert len(PROVED) >= 2 * SHOPS // 3
    assert sum(one.weighted_tardiness > 0 for one in PROVED.values()) >= SHOPS // 2


@pytest.mark.parametrize("number", PROVED)
def test_the_best_plan_is_accepted_and_has_the_value_proved(number):
    kept = json.loads((FOLDER / "small_shops.json").read_text())["shops"][str(number)]
    assert check(small_shop(number), PROVED[number]) == ()
    assert PROVED[number].weighted_tardiness == kept["weighted_tardiness"]


@pytest.mark.parametrize("number", PROVED)
def test_no_plan_by_dispatch_is_better_than_the_best(number):
    shop = small_shop(number)
    found = plan(shop)
    assert check(shop, found) == ()
    assert found.weighted_tardiness >= PROVED[number].weighted_tardiness
