"""Queues whose waiting times are known exactly, lived through by the simulation; tolerance from the standard error.

Poisson arrivals: all lots wait at a gate that lets them through one after another in exponential times.
"""

from collections.abc import Iterable
from itertools import pairwise
from math import factorial, sqrt

import pytest

from app.core.chances.simulation import live_through, prepare
from app.core.chances.spreads import FIXED, Spread, exponential, lognormal
from app.core.chances.uncertainty import Odds, Uncertainty
from app.core.planning import arrays as a
from app.core.planning.decoding import Decoded
from app.core.planning.outcome import plan_of_arrays, run_rows
from app.core.shop import Crew, Shop
from tests.core.chances.odds import everything
from tests.core.planning.every_rule import draw_shop
from tests.core.shops import lot, operation, round_the_clock, shop, single, station

GAP_MINUTES, SERVICE_MINUTES = 1000, 600
LOTS, WARM_UP, REPLICATIONS = 1000, 150, 20
TWO_KINDS = Spread((13_107,) * 9 + (537_395,))  # nine times of ten a fifth, else 8.2 times as long: mean 1


def one_station() -> Shop:
    """Return lots that pass a gate and then wait for one station, first come first served."""
    return shop(
        [station("G", "gate"), station("M")],
        *(
            lot(
                f"{n:05}",
                operation("10", single(GAP_MINUTES), "gate", waiting=1),
                operation("20", single(SERVICE_MINUTES)),
            )
            for n in range(LOTS)
        ),
    )


def mean_and_error(values: list[float]) -> tuple[float, float]:
    """Return the mean of independent values and its standard error."""
    mean = sum(values) / len(values)
    return mean, sqrt(sum((each - mean) ** 2 for each in values) / (len(values) - 1) / len(values))


def waiting_minutes(lived: Decoded) -> float:
    """Return the mean time in the queue of the station, after it has warmed up."""
    rows = [run for run in run_rows(lived) if run[a.R_STATION] == 1][WARM_UP:]
    return sum(run[a.R_START] - run[a.R_READY] for run in rows) / len(rows) / 60


# A. Y. Khinchine (1932) and F. Pollaczek (1930); L. Kleinrock, Queueing Systems I (1975), chapter 5.7: the mean wait is
# rate x E[service squared] / (2 (1 - load)). M/M/1 and M/D/1 are the cases of service squared 2 and 1.
@pytest.mark.parametrize(
    ("service", "mean_square"),
    [
        pytest.param(exponential(), 2.0, id="M/M/1"),
        pytest.param(FIXED, 1.0, id="M/D/1"),
        pytest.param(lognormal(0.6), lognormal(0.6).mean_square, id="M/G/1 lognormal"),
        pytest.param(TWO_KINDS, TWO_KINDS.mean_square, id="M/G/1 of two kinds"),
    ],
)
def test_the_mean_wait_is_that_of_pollaczek_and_khinchine(service: Spread, mean_square: float) -> None:
    odds = Uncertainty({(f"{n:05}", "10"): Odds(FIXED, exponential()) for n in range(LOTS)}, Odds(FIXED, service))
    ready = prepare(one_station(), odds)
    load = SERVICE_MINUTES / GAP_MINUTES
    exact = SERVICE_MINUTES**2 * mean_square / GAP_MINUTES / (2 * (1 - load))
    found, error = mean_and_error(
        [waiting_minutes(live_through(ready, seed=20, replication=n)) for n in range(REPLICATIONS)]
    )
    assert error < 0.1 * exact  # so that the test can fail
    assert found == pytest.approx(exact, abs=4 * error)


# Little's law with the rate at which lots are let through, which the simulation is told and does not measure; for
# M/M/1 the mean number present is load / (1 - load) (Kleinrock, chapter 3.2).
def test_as_many_are_present_as_come_in_a_mean_stay() -> None:
    odds = Uncertainty(usual=Odds(FIXED, exponential()))
    ready = prepare(one_station(), odds)
    rate, load = 1 / (GAP_MINUTES * 60), SERVICE_MINUTES / GAP_MINUTES
    numbers, differences = [], []
    for replication in range(REPLICATIONS):
        stays = [
            (run[a.R_READY], run[a.R_END])
            for run in run_rows(live_through(ready, seed=8, replication=replication))
            if run[a.R_STATION] == 1
        ]
        begin, end = stays[WARM_UP][0], stays[-1][0]
        within = [(max(come, begin), min(go, end)) for come, go in stays if go > begin and come < end]
        number = number_present(within, end) / (end - begin)
        later = stays[WARM_UP:]
        numbers.append(number)
        differences.append(number - rate * sum(go - come for come, go in later) / len(later))
    found, error = mean_and_error(numbers)
    assert error < 0.1 * load / (1 - load)
    assert found == pytest.approx(load / (1 - load), abs=4 * error)
    difference, error = mean_and_error(differences)
    assert error < 0.1
    assert difference == pytest.approx(0, abs=4 * error)


MACHINES, RUN_MINUTES, TEND_MINUTES, CYCLES = 6, 1000, 100, 120


def tended_machines() -> Shop:
    """Return machines that run by themselves and then need the one person there is, again and again."""
    return Shop(
        shop([]).now,
        tuple(station(f"M{n}", f"M{n}") for n in range(MACHINES)),
        tuple(
            lot(
                str(n),
                *(
                    step
                    for cycle in range(CYCLES)
                    for step in (
                        operation(f"{cycle} run", single(RUN_MINUTES), f"M{n}", waiting=0 if cycle else 1),
                        operation(f"{cycle} tend", single(TEND_MINUTES), f"M{n}", tend_permille=1000),
                    )
                ),
            )
            for n in range(MACHINES)
        ),
        round_the_clock(),
        (Crew(round_the_clock(), 0, 1),),
    )


# C. Palm (1947); W. Feller, An Introduction to Probability Theory and Its Applications I, XVII.7: six machines, one
# repairman, ratio 0.1: he is idle 0.4845 of the time (from memory, and recomputed here).
def test_one_person_tends_several_machines_as_often_as_palm_says() -> None:
    ratio = TEND_MINUTES / RUN_MINUTES
    idle = 1 / sum(factorial(MACHINES) / factorial(MACHINES - n) * ratio**n for n in range(MACHINES + 1))
    assert idle == pytest.approx(0.4845, abs=0.00005)
    ready = prepare(tended_machines(), Uncertainty(usual=Odds(FIXED, exponential())))
    begin, end = 10 * RUN_MINUTES * 60, round(0.7 * CYCLES * (RUN_MINUTES + TEND_MINUTES) * 60)
    busy = []
    for replication in range(20):
        lived = live_through(ready, seed=3, replication=replication)
        rows = run_rows(lived)
        assert min(max(run[a.R_END] for run in rows if run[a.R_STATION] == n) for n in range(MACHINES)) > end
        tending = [run for run in rows if lived.packing.operation(run[a.R_OP]).tend_permille]
        assert all(
            one[a.R_END] <= other[a.R_START] for one, other in pairwise(sorted(tending, key=lambda r: r[a.R_START]))
        )
        seconds = sum(max(0, min(run[a.R_END], end) - max(run[a.R_START], begin)) for run in tending)
        busy.append(seconds / (end - begin))
    found, error = mean_and_error(busy)
    assert error < 0.01
    assert found == pytest.approx(1 - idle, abs=4 * error)


def number_present(stays: Iterable[tuple[int, int]], end: int) -> int:
    """Return the seconds of presence of all, counted by how many are there at a time."""
    changes = sorted([(come, 1) for come, _ in stays] + [(go, -1) for _, go in stays])
    total = present = last = 0
    for second, change in changes:
        total += present * (second - last)
        present += change
        last = second
    assert present == 0
    assert last <= end
    return total


# J. D. C. Little, A proof for the queuing formula L = lambda W, Operations Research 9 (1961): at each station and in
# the whole shop the mean number present, counted moment by moment, is the rate times the mean stay. Over a time in
# which all come and go this is arithmetic, so it proves that no stay is lost or told twice; the law itself is above.
def test_littles_law_holds_in_every_simulation() -> None:
    for seed in range(25):
        given = draw_shop(seed)
        lived = live_through(prepare(given, everything(given)), seed=seed, replication=seed)
        rows, plan = run_rows(lived), plan_of_arrays(lived)
        end = max(run[a.R_END] for run in rows)
        lots = [
            (max(one.released, given.now) - given.now, plan_lot.finish - given.now)
            for one, plan_lot in zip(lived.packing.shop.lots, plan.lots, strict=True)
            if plan_lot.finish is not None and plan_lot.finish > max(one.released, given.now)
        ]
        stays = [lots] + [
            [(run[a.R_READY], run[a.R_END]) for run in rows if run[a.R_STATION] == n]
            for n in range(len(given.stations))
        ]
        for present in filter(None, stays):
            assert all(0 <= come <= go for come, go in present), seed
            number = number_present(present, end) / end
            rate, stay = len(present) / end, sum(go - come for come, go in present) / len(present)
            assert number == pytest.approx(rate * stay, rel=1e-12)
