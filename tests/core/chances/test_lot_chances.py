"""What the replications say of a lot and of a plan."""

import pytest

from app.core.chances.simulation import LotChances, Simulation, difference, prepare, simulate
from app.core.chances.spreads import lognormal
from app.core.chances.uncertainty import AS_PLANNED, CERTAIN, Odds, Uncertainty
from tests.core.chances.odds import HALF_OR_DOUBLE, one_lot
from tests.core.shops import at, lot, operation, shop, single, station


def test_the_dates_and_chances_of_a_lot() -> None:
    chances = LotChances("1", tuple(range(100, 190, 10)), 10, 3)  # nine finish, one never does
    assert (chances.median, chances.finish(0.8), chances.finish(0.9), chances.finish(0.95)) == (140, 170, 180, None)
    assert chances.chance_late == 0.3
    assert chances.standard_error == pytest.approx(((5 / 14) * (9 / 14) / 14) ** 0.5)
    assert LotChances("1", (1,), 1, None).chance_late is None


def test_late_counts_those_after_the_due_second() -> None:
    given = one_lot(due=at(105))
    found = simulate(
        prepare(given, Uncertainty(usual=AS_PLANNED, together=HALF_OR_DOUBLE)), seed=1, replications=400
    ).lots[0]
    assert found.late == sum(each > at(105) for each in found.finishes)
    assert found.chance_late == pytest.approx(0.5, abs=0.1)


def test_plans_are_compared_on_the_same_luck() -> None:
    one, other = Simulation((), (10, 40, 70)), Simulation((), (8, 39, 69))
    found = difference(one, other)
    assert found.mean == pytest.approx(4 / 3)
    assert found.standard_error == pytest.approx((1 / 3 / 3) ** 0.5)
    with pytest.raises(ValueError, match="two replications"):
        difference(Simulation((), (1,)), Simulation((), (2,)))


def test_the_same_luck_makes_a_difference_surer_than_luck_of_its_own() -> None:
    due = [at(300), at(240)]
    steps = (operation("10", single(10), waiting=10), operation("20", single(5), "lathe"))
    lots = [lot(str(n), *steps, due=due[n], weight=1 + n) for n in range(2)]
    given = shop([station("M"), station("L", "lathe")], *lots)
    ready = prepare(given, Uncertainty(usual=Odds(lognormal(0.3), lognormal(0.3))))
    back = list(range(4))[::-1]
    kept, turned, other = (
        simulate(ready, seed=seed, replications=300, order=order) for seed, order in ((1, None), (1, back), (2, back))
    )
    assert difference(kept, turned).standard_error < 0.9 * difference(kept, other).standard_error


def test_there_is_one_replication_at_least() -> None:
    with pytest.raises(ValueError, match="one replication"):
        simulate(prepare(one_lot(), CERTAIN), seed=1, replications=0)
