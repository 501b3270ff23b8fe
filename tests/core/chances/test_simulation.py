"""What the replications draw, and what is said of them."""

from dataclasses import replace

import pytest

from app.core.chances.kernels.generator import ONE
from app.core.chances.simulation import live_through, prepare, simulate
from app.core.chances.spreads import FIXED, Spread, lognormal
from app.core.chances.uncertainty import AS_PLANNED, CERTAIN, Breakdowns, NewOrders, Odds, Uncertainty
from app.core.planning import arrays as a
from app.core.planning.decoding import decode
from app.core.planning.outcome import plan_of_arrays, run_rows
from app.core.shop import (
    Arrival,
    BarFed,
    Batch,
    LeadTime,
    OpenJob,
    OverClosed,
    PalletLoad,
    Purchase,
    Shop,
    SinglePiece,
    Station,
)
from tests.core.chances.odds import DOUBLE, HALF_OR_DOUBLE, everything, fresh, one_lot
from tests.core.planning.every_rule import DAY, HOUR, draw_shop
from tests.core.shops import MONDAY, at, calendar, lot, operation, shop, single, station


def finishes(given: Shop, uncertainty: Uncertainty, replications: int = 200, seed: int = 1) -> list[float]:
    """Return when lot "1" is finished in each replication, ascending, in minutes from Monday."""
    found = simulate(prepare(given, uncertainty), seed=seed, replications=replications)
    return [(each - MONDAY) / 60 for one in found.lots if one.lot == "1" for each in one.finishes]


def test_when_nothing_is_uncertain_every_replication_is_the_plan() -> None:
    for seed in range(40):
        given = draw_shop(seed)
        plan = plan_of_arrays(decode(given))
        found = simulate(prepare(given, CERTAIN), seed=seed, replications=2)
        assert {one.lot: one.finishes for one in found.lots} == {
            one.lot: (one.finish, one.finish) for one in plan.lots if one.finish is not None
        }
        assert found.tardiness == (plan.weighted_tardiness,) * 2


def test_set_up_and_work_take_their_factors() -> None:
    odds = {("1", "10"): Odds(DOUBLE, FIXED), ("1", "20"): Odds(FIXED, DOUBLE)}
    assert set(finishes(one_lot(), Uncertainty(odds), 3)) == {60 + 100 + 30 + 100}


def test_what_all_times_have_in_common_comes_on_top() -> None:
    assert set(finishes(one_lot(), Uncertainty(usual=AS_PLANNED, together=HALF_OR_DOUBLE))) == {105, 420}


def test_a_drawn_shop_planned_by_the_decoder_is_the_replication() -> None:
    for seed in range(30):
        given = _without_work_under_way(draw_shop(seed))
        ready = prepare(given, Uncertainty(usual=Odds(lognormal(0.5), lognormal(0.5), days_late=(0, 1, 5))))
        lived = live_through(ready, seed=seed, replication=5)
        plan = plan_of_arrays(decode(_as_drawn(given, lived)))
        assert plan.lots == plan_of_arrays(lived).lots


def _without_work_under_way(given: Shop) -> Shop:
    """Return a shop in which nothing is begun, and work pauses: whether it must fit is asked of the time planned."""
    lots = tuple(
        replace(one, operations=tuple(replace(step, open_jobs=(), counted=0) for step in one.operations))
        for one in given.lots
    )
    return replace(given, lots=lots, stations=tuple(_pausing(one) for one in given.stations))


def _pausing(one: Station) -> Station:
    return replace(one, over_closed=OverClosed.PAUSE) if one.over_closed is OverClosed.FIT else one


def _as_drawn(given: Shop, lived: object) -> Shop:
    """Return a shop whose planned times are those drawn for a replication."""
    rows = {}
    for op, (place, index) in enumerate(lived.packing.operations):  # type: ignore[attr-defined]
        first = lived.arrays.fixed[a.F_OPS] + op * a.OP_COLUMNS  # type: ignore[attr-defined]
        rows[lived.packing.lots[place].key, index] = lived.arrays.fixed[first : first + a.OP_COLUMNS]  # type: ignore[attr-defined]
    lots = []
    for one in given.lots:
        steps = []
        for index, step in enumerate(one.operations):
            row = rows[one.key, index]
            if row[a.O_BLOCKED] or not row[a.O_LEFT]:
                steps.append(step)
                continue
            times = {"setup_s": row[a.O_SETUP], "taking": _taking(step.taking, row, lived)}
            if step.fixture_setup_s is not None:
                times["fixture_setup_s"] = row[a.O_FIXTURE_SETUP]
            steps.append(replace(step, **times))
        lots.append(replace(one, operations=tuple(steps)))
    return replace(given, lots=tuple(lots))


def _taking(taking: object, row: list[int], lived: object) -> object:
    match taking:
        case SinglePiece():
            return SinglePiece(row[a.O_CYCLE])
        case BarFed():
            return replace(taking, cycle_ms=row[a.O_CYCLE])  # changing a bar takes what it takes
        case PalletLoad():
            return PalletLoad(taking.pieces, row[a.O_CYCLE], row[a.O_LOAD], row[a.O_UNLOAD])
        case Batch():
            return replace(taking, time_ms=row[a.O_CYCLE])
        case LeadTime():
            return replace(taking, days=row[a.O_DAYS])
        case Purchase():
            fixed, now = lived.arrays.fixed, lived.packing.shop.now  # type: ignore[attr-defined]
            first = fixed[a.F_ARRIVALS]
            rows = range(row[a.O_ARRIVALS], row[a.O_ARRIVALS_END])
            times = [fixed[first + at * a.RETURN_COLUMNS + a.B_TIME] + now for at in rows]
            ordered = sorted(taking.arrivals, key=lambda one: one.time)
            return Purchase(tuple(replace(one, time=time) for one, time in zip(ordered, times, strict=True)))
    raise AssertionError(taking)


def test_the_ranks_and_other_lots_do_not_change_a_lots_luck() -> None:
    first, second = draw_shop(1), draw_shop(2)
    # pieces of another shop's first lot beside those of this one, which now come in another order
    both = replace(first, lots=(replace(second.lots[0], key="X"), *first.lots[::-1]), stations=first.stations)
    odds = Uncertainty(usual=Odds(lognormal(0.5), lognormal(0.5), 0.1))
    alone, among = (live_through(prepare(given, odds), seed=3, replication=8) for given in (first, both))
    assert _drawn(alone) == {key: row for key, row in _drawn(among).items() if key[0] != "X"}


def _drawn(lived: object) -> dict[tuple[str, int], list[int]]:
    fixed, packing = lived.arrays.fixed, lived.packing  # type: ignore[attr-defined]
    found = {}
    for op, (place, index) in enumerate(packing.operations):
        row = fixed[a.F_OPS] + op * a.OP_COLUMNS
        columns = (a.O_SETUP, a.O_CYCLE, a.O_LOAD, a.O_LOST, a.O_LEFT)
        found[packing.lots[place].key, index] = [fixed[row + each] for each in columns]
    return found


def test_work_that_must_fit_is_begun_by_the_time_planned_and_pauses_when_it_takes_longer() -> None:
    day = calendar(("08:00", "16:00"), days=range(7))
    mill = station("M", calendar=day, over_closed=OverClosed.FIT)
    given = shop([mill], lot("1", operation("10", single(30), setup=120, waiting=12)))  # eight of eight hours
    assert set(finishes(given, Uncertainty(usual=Odds(FIXED, HALF_OR_DOUBLE)))) == {13 * 60, 1440 + 14 * 60}
    assert set(finishes(given, Uncertainty(usual=Odds(HALF_OR_DOUBLE, FIXED)))) == {15 * 60, 1440 + 10 * 60}


def test_pieces_that_are_lost_take_their_time_and_leave_the_next_operation_less() -> None:
    ready = prepare(one_lot(), Uncertainty({("1", "10"): Odds(FIXED, FIXED, 0.3), ("1", "20"): AS_PLANNED}))
    lost = []
    for replication in range(200):
        lived = live_through(ready, seed=1, replication=replication)
        first, second = ([run[a.R_PIECES] for run in run_rows(lived) if run[a.R_OP] == op] for op in (0, 1))
        assert first == [10]
        lost.append(10 - second[0])
        assert plan_of_arrays(lived).lots[0].finish == at(30 + 100 + 30 + 5 * second[0])
    assert sum(lost) / 200 == pytest.approx(3, abs=4 * (10 * 0.3 * 0.7 / 200) ** 0.5)


def test_pieces_sent_ahead_lose_evenly_and_none_is_made_or_forgotten() -> None:
    steps = (
        operation("10", single(10), waiting=40, send_ahead=3),
        operation("20", single(10), "lathe", send_ahead=7),
        operation("30", single(1)),
    )
    given = shop([station("M"), station("L", "lathe")], lot("1", *steps))
    ready = prepare(given, Uncertainty(usual=Odds(FIXED, FIXED, 0.25)))
    for replication in range(100):
        lived = live_through(ready, seed=2, replication=replication)
        pieces = [sum(run[a.R_PIECES] for run in run_rows(lived) if run[a.R_OP] == op) for op in range(3)]
        lost = [lived.arrays.fixed[lived.arrays.fixed[a.F_OPS] + op * a.OP_COLUMNS + a.O_LOST] for op in range(3)]
        assert pieces == [40, 40 - lost[0], 40 - lost[0] - lost[1]]
        assert plan_of_arrays(lived).lots[0].finish is not None


def test_a_lot_is_never_lost_whole() -> None:
    given = shop([station("M")], lot("1", operation("10", single(1), waiting=1), operation("20", single(1))))
    assert len(finishes(given, Uncertainty(usual=Odds(FIXED, FIXED, 0.5)))) == 200


def test_work_under_way_takes_longer_than_has_been_spent_on_it() -> None:
    job = OpenJob("M", 10, at(-60))  # an hour of its hundred minutes, without set-up
    given = shop([station("M")], lot("1", operation("10", single(10), open_jobs=(job,))))
    third = Spread((ONE // 2, ONE, 2 * ONE))
    assert set(finishes(given, Uncertainty(usual=Odds(FIXED, third)))) == {40, 140}
    # nothing in its history took so long: a tenth of a draw is left
    gone = replace(job, started_at=at(-300))
    old = shop([station("M")], lot("1", operation("10", single(10), open_jobs=(gone,))))
    assert set(finishes(old, Uncertainty(usual=Odds(FIXED, third)))) == {5, 10, 20}


def test_only_what_comes_behind_a_count_is_uncertain() -> None:
    """Of ten pieces of ten minutes five were counted after 50; ten minutes of the other 50 are behind it."""
    job = OpenJob("M", 5, at(-60), counted=5)
    given = shop([station("M")], lot("1", operation("10", single(10), open_jobs=(job,))))
    third = Spread((ONE // 2, ONE, 2 * ONE))
    assert set(finishes(given, Uncertainty(usual=Odds(FIXED, third)))) == {15, 40, 90}
    counted_early = replace(job, worked_s=30 * 60)  # 20 min of what is counted are still to be done, by what is told
    early = shop([station("M")], lot("1", operation("10", single(10), open_jobs=(counted_early,))))
    assert set(finishes(early, Uncertainty(usual=Odds(FIXED, third)))) == {35, 70, 140}


def test_pieces_behind_a_count_go_ahead_when_they_are_drawn_to_be_done() -> None:
    """Twenty minutes a piece instead of ten from the sixth on: each goes on as the one before is through at 20."""
    job = OpenJob("M", 5, at(-50), counted=5)
    steps = operation("10", single(10), open_jobs=(job,), send_ahead=1), operation("20", single(10), "bench")
    given = shop([station("M"), station("B", "bench")], lot("1", *steps))
    assert set(finishes(given, Uncertainty(usual=Odds(FIXED, DOUBLE)))) == {120}


def test_set_up_under_way_takes_longer_than_has_been_spent_on_it() -> None:
    job = OpenJob("M", 10, at(-40), in_setup=True)
    given = shop([station("M")], lot("1", operation("10", single(10), setup=60, open_jobs=(job,))))
    assert set(finishes(given, Uncertainty(usual=Odds(HALF_OR_DOUBLE, DOUBLE)))) == {80 + 200}


def test_work_elsewhere_comes_back_late_at_an_hour_when_it_can_be_taken_in() -> None:
    day = calendar(("08:00", "16:00"), days=range(7))
    step = operation("10", LeadTime(3), "", waiting=1)
    given = shop([station("M")], lot("1", step, released=at(9 * 60)), receiving=day)
    found = finishes(given, Uncertainty(usual=Odds(FIXED, FIXED, days_late=(0, 0, 4))))
    assert set(found) == {9 * 60 + 3 * 1440, 9 * 60 + 7 * 1440}
    assert found.count(9 * 60 + 7 * 1440) == pytest.approx(200 / 3, abs=4 * (200 * 2 / 9) ** 0.5)


def test_what_is_overdue_is_as_late_as_those_that_were_later_still() -> None:
    sent = OpenJob("", 1, at(-6 * 1440))  # three days late already
    given = shop([station("M")], lot("1", operation("10", LeadTime(3), "", open_jobs=(sent,))))
    assert set(finishes(given, Uncertainty(usual=Odds(FIXED, FIXED, days_late=(0, 2, 5, 9))))) == {2 * 1440, 6 * 1440}
    assert set(finishes(given, Uncertainty(usual=Odds(FIXED, FIXED, days_late=(0, 2))))) == {1440, 3 * 1440}


def test_deliveries_come_late() -> None:
    step = operation("10", Purchase((Arrival(at(600), 5),)), "", waiting=5)
    given = shop([station("M")], lot("1", step, operation("20", single(1))))
    assert set(finishes(given, Uncertainty(usual=Odds(FIXED, FIXED, days_late=(0, 2))))) == {605, 605 + 2 * 1440}


def test_a_station_breaks_down_after_exponential_time_for_as_long_as_repairs_take() -> None:
    step = operation("10", single(60), waiting=24)  # a day of work without a break
    given = shop([station("M")], lot("1", step))
    downs = Uncertainty(usual=AS_PLANNED, stations={"M": Breakdowns(8 * HOUR, (2 * HOUR,))})
    found = finishes(given, downs, 1000)
    breaks = [(each - 1440) / 120 for each in found]
    assert all(each == int(each) for each in breaks)
    mean = sum(breaks) / 1000
    variance = sum((each - mean) ** 2 for each in breaks) / 999
    assert mean == pytest.approx(3, abs=4 * (3 / 1000) ** 0.5)  # Poisson: 24 hours at one in 8
    assert variance == pytest.approx(3, abs=4 * (3 * (1 + 2 * 3) / 1000) ** 0.5)


def test_a_breakdown_counts_by_open_hours_and_ends_by_the_clock() -> None:
    day = calendar(("08:00", "16:00"), days=range(7))
    given = shop([station("M", calendar=day)], lot("1", operation("10", single(60), waiting=20)))
    downs = Uncertainty(usual=AS_PLANNED, stations={"M": Breakdowns(16 * HOUR, (2 * DAY,))})
    found = finishes(given, downs, 300)
    assert min(found) == 2 * 1440 + 12 * 60
    assert all((each - 12 * 60) % 1440 == 0 for each in found)  # whole days come on top, whenever it broke


def test_new_orders_come_as_a_poisson_process_and_rush_goes_first() -> None:
    given = one_lot(due=at(200))
    like = lot("R", operation("10", single(15), waiting=4), rush=True)
    ready = prepare(given, Uncertainty(usual=AS_PLANNED, orders=NewOrders(DAY, (like,))))
    counts = []
    for replication in range(300):
        rows = run_rows(live_through(ready, seed=5, replication=replication))
        counts.append(sum(run[a.R_READY] > 0 and run[a.R_READY] < 10 * DAY for run in rows) - 1)
    mean = sum(counts) / 300
    assert mean == pytest.approx(10, abs=4 * (10 / 300) ** 0.5)
    assert sum((each - mean) ** 2 for each in counts) / 299 == pytest.approx(10, rel=5 * (2 / 299) ** 0.5)
    # one that comes while operation 10 runs is done before a lot that waits
    waiting = replace(given, lots=(*given.lots, lot("2", operation("10", single(60), waiting=24), due=at(9000))))
    found = simulate(prepare(waiting, ready.uncertainty), seed=5, replications=200)
    assert {one.lot for one in found.lots} == {"1", "2"}
    first, second = (set(one.finishes) for one in found.lots)
    assert at(130 + 1440) in second  # none came while lot 1 ran, in most
    assert at(130 + 1440 + 60) in second
    assert len(first) == 1


def test_new_orders_that_are_not_rush_go_by_their_due_dates_and_count_for_nothing() -> None:
    long = operation("10", single(60), waiting=24)
    early = lot("R", operation("10", single(60), waiting=24), released=MONDAY, due=MONDAY)  # due when it comes
    for due, overtaken in ((at(9 * 1440), True), (MONDAY - 1, False)):
        given = shop([station("M")], *(lot(str(n), long, due=due) for n in range(3)))
        ready = prepare(given, Uncertainty(usual=AS_PLANNED, orders=NewOrders(DAY, (early,))))
        found = simulate(ready, seed=1, replications=50)
        assert (len(set(found.lots[2].finishes)) > 1) == overtaken
        late = (sum(weight_late(one.finishes, due) for one in found.lots), sum(found.tardiness))
        assert late[0] == late[1]


def weight_late(finishes_of: tuple[int, ...], due: int) -> int:
    """Return the seconds past due of all replications."""
    return sum(max(0, each - due) for each in finishes_of)


def test_new_orders_that_are_begun_or_bought_are_refused() -> None:
    with pytest.raises(ValueError, match="no purchase"):
        NewOrders(DAY, (lot("R", operation("10", single(1), counted=1)),))
    assert NewOrders(DAY, (fresh(draw_shop(4).lots[0]),))


def test_no_lot_that_can_be_planned_is_left_out_however_bad_the_luck() -> None:
    for seed in range(12):
        given = draw_shop(seed)
        found = simulate(prepare(given, everything(given)), seed=seed, replications=5)
        planned = [one.lot for one in plan_of_arrays(decode(given)).lots if one.finish is not None]
        assert [one.lot for one in found.lots] == planned
        assert all(len(one.finishes) == 5 for one in found.lots)
