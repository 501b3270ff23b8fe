"""Among good plans the one with the least expected weighted tardiness is chosen, on the same luck."""

from app.core.chances.choosing import least_tardy, live_through_plans
from app.core.chances.simulation import PLAIN_REPLAYER, difference, prepare, simulate
from app.core.chances.uncertainty import AS_PLANNED, CERTAIN, Odds, Uncertainty
from app.core.planning.forecasts import forecast
from app.core.planning.ranked import ranks_in, ranks_until, with_ranks
from tests.core.chances.odds import HALF_OR_DOUBLE
from tests.core.shops import at, lot, operation, shop, single, station

LIVES = {"seed": 3, "replications": 60}
SHOP = shop(
    [station("mill")],
    lot("sure", operation("10", single(60), waiting=1), due=at(70)),
    lot("doubtful", operation("10", single(60), waiting=1), due=at(120)),
)
SURE_FIRST, DOUBTFUL_FIRST = {("sure", 0): 0, ("doubtful", 0): 1}, {("doubtful", 0): 0, ("sure", 0): 1}
HALF_THE_TIME_DOUBLE = Uncertainty({("doubtful", "10"): Odds(HALF_OR_DOUBLE, HALF_OR_DOUBLE)}, usual=AS_PLANNED)


def test_nothing_uncertain_each_plan_is_lived_through_as_it_stands():
    lived = live_through_plans(SHOP, CERTAIN, [DOUBTFUL_FIRST, SURE_FIRST], PLAIN_REPLAYER, **LIVES)
    # The sure one is then done after 120 minutes and due after 70; the other way round both are in time.
    assert [one.expected_tardiness for one in lived] == [50 * 60, 0]
    assert least_tardy(lived) == 1


def test_what_is_uncertain_counts_and_the_luck_is_the_same():
    lived = live_through_plans(SHOP, HALF_THE_TIME_DOUBLE, [SURE_FIRST, DOUBTFUL_FIRST], PLAIN_REPLAYER, **LIVES)
    alone = [
        simulate(prepare(with_ranks(SHOP, ranks), HALF_THE_TIME_DOUBLE), **LIVES)
        for ranks in (SURE_FIRST, DOUBTFUL_FIRST)
    ]
    assert [one.tardiness for one in lived] == [one.tardiness for one in alone]
    # Last, the doubtful one is an hour late where it takes double; first, it makes the sure one later still.
    assert set(lived[0].tardiness) == {0, 60 * 60}
    assert difference(lived[1], lived[0]).mean > 0
    assert least_tardy(lived) == 0


def test_ranks_of_a_shop_are_what_it_was_given():
    assert ranks_in(with_ranks(SHOP, SURE_FIRST)) == SURE_FIRST
    assert ranks_in(SHOP) == {}


def test_ranks_until_a_moment_are_those_of_what_begins_before_it():
    planned = forecast(with_ranks(SHOP, SURE_FIRST))
    first, last = (run.start for run in planned.stations["mill"])
    assert ranks_until(SHOP, SURE_FIRST, planned, first) == {}
    assert ranks_until(SHOP, SURE_FIRST, planned, last) == {("sure", 0): 0}
    assert ranks_until(SHOP, SURE_FIRST, planned, last + 1) == SURE_FIRST
