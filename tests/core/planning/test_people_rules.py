"""Hand cases of people, splits, components and ranks, by the minute (from Monday 00:00), reckoned by hand."""

from app.core.planning.decoding import decode
from app.core.planning.ranking import planned_order
from app.core.shop import Batch, Crew, OpenJob, PalletLoad
from tests.core.planning.plans import finishes, plan, runs
from tests.core.shops import at, calendar, lot, operation, round_the_clock, shop, single, station

MS = 60_000


def crew(setters: int, tenders: int) -> Crew:
    return Crew(round_the_clock(), setters, tenders)


def two_stations(*lots: object):
    return shop([station("M1", "mill"), station("L1", "lathe")], *lots)


def at_each(minutes: float, **more: object):
    """Return two lots, one for each of two stations."""
    return (
        lot("A", operation("10", single(minutes), "mill", waiting=1, **more)),
        lot("B", operation("10", single(minutes), "lathe", waiting=1, **more)),
    )


def test_one_person_sets_up_one_station_after_the_other() -> None:
    found = plan(two_stations(*at_each(60, setup=20)), crew(1, 0))
    assert (runs(found, "A"), runs(found, "B")) == ([(0, 80)], [(20, 100)])


def test_two_set_up_side_by_side() -> None:
    assert finishes(plan(two_stations(*at_each(60, setup=20)), crew(2, 0))) == {"A": 80, "B": 80}


def test_one_person_tends_two_stations_that_need_half_of_one_each() -> None:
    assert finishes(plan(two_stations(*at_each(60, tend_permille=500)), crew(0, 1))) == {"A": 60, "B": 60}


def test_a_station_waits_for_the_person_that_another_keeps_busy() -> None:
    assert finishes(plan(two_stations(*at_each(60, tend_permille=501)), crew(0, 1))) == {"A": 60, "B": 120}


def test_loading_needs_its_share_of_a_person() -> None:
    """Loading and unloading 6 of 10 minutes hold 600 thousandths: two such runs are more than one person."""
    taking = PalletLoad(1, 4 * MS, 4 * MS, 2 * MS)
    lots = (
        lot("A", operation("10", taking, "mill", waiting=1)),
        lot("B", operation("10", taking, "lathe", waiting=1)),
    )
    assert finishes(plan(two_stations(*lots), crew(0, 1))) == {"A": 10, "B": 20}


def test_a_station_that_closes_lets_its_person_go() -> None:
    stations = [
        station("M1", "mill", calendar=calendar(("00:00", "01:00"))),
        station("L1", "lathe"),
    ]
    found = plan(shop(stations, *at_each(90, tend_permille=1000)), crew(0, 1))
    assert (runs(found, "A"), runs(found, "B")) == ([(0, 1440 + 30)], [(60, 150)])


def test_a_job_under_way_that_needs_nobody_lets_go_whom_the_one_before_it_held() -> None:
    """At M1 the one who tends A is free after an hour, when B goes on alone for two more."""
    jobs = [OpenJob("M1", 1, at(minutes), worked_s=0) for minutes in (-2, -1)]
    lots = (
        lot("A", operation("10", single(60), open_jobs=(jobs[0],), tend_permille=1000)),
        lot("B", operation("10", single(120), open_jobs=(jobs[1],))),
        lot("C", operation("10", single(30), "lathe", waiting=1, tend_permille=1000)),
    )
    assert finishes(plan(two_stations(*lots), crew(0, 1))) == {"A": 60, "B": 180, "C": 90}


def test_the_next_crew_brings_who_can_set_up() -> None:
    days = Crew(calendar(("06:00", "14:00"), days=range(7)), 0, 2)
    evenings = Crew(calendar(("14:00", "22:00"), days=range(7)), 1, 2)
    step = operation("10", single(60), setup=10, waiting=1)
    found = plan(shop([station("M1")], lot("A", step), now=at(600)), days, evenings)
    assert runs(found, "A") == [(840, 910)]


def test_what_nobody_can_ever_do_is_told() -> None:
    found = plan(two_stations(*at_each(60, setup=20)), crew(0, 9))
    assert [one.status for one in found.lots] == ["no open hours", "no open hours"]


def test_a_split_operation_runs_side_by_side() -> None:
    step = operation("10", single(10), setup=5, waiting=5, split=2)
    found = plan(shop([station("M1"), station("M2")], lot("A", step)))
    assert [(run.station, run.pieces) for run in found.operations] == [("M1", 3), ("M2", 2)]
    assert finishes(found) == {"A": 35}


def test_a_lot_waits_for_the_lot_of_its_component() -> None:
    whole = lot("A", operation("10", single(10), "assembly", waiting=1, components=("B", "bought")), due=at(1))
    part = lot("B", operation("10", single(50), "mill", waiting=1))
    found = plan(shop([station("M1"), station("X", "assembly")], whole, part))
    assert finishes(found) == {"A": 60, "B": 50}


def test_lots_that_wait_for_each_other_are_told() -> None:
    lots = [
        lot("A", operation("10", single(10), waiting=1, components=("B",))),
        lot("B", operation("10", single(10), waiting=1, components=("A",))),
        lot("C", operation("10", single(10), waiting=1)),
    ]
    found = plan(shop([station("M1")], *lots))
    assert [one.status for one in found.lots] == ["no components", "no components", "planned"]
    assert [one.reason for one in found.lots[:2]] == ["lots in a loop"] * 2


def test_ranks_decide_and_unknown_lots_enter_by_due_date() -> None:
    def waiting(key: str, due: float, rank: int | None):
        return lot(key, operation("10", single(10), waiting=1, rank=rank), due=at(due))

    lots = [waiting("A", 1, 3), waiting("B", 2, 1), waiting("C", 3, 2), waiting("new", 2.5, None)]
    pinned = lot("P", operation("10", single(10), waiting=1, rank=9), due=at(9), pinned=1)
    packing = decode(shop([station("M1")], *lots, pinned)).packing
    order = [packing.lots[packing.operations[op][0]].key for op in planned_order(packing)]
    assert order == ["P", "B", "C", "new", "A"]  # behind as many as are due before it


def test_a_shared_load_under_way_keeps_its_setter_as_long_as_any_of_its_jobs_is_set_up() -> None:
    """A and B are in one load; B still needs its 20 minutes, so that the lathe is set up after them."""
    taking = Batch("deburr", 60 * MS)

    def tumbled(key: str, **more: object):
        job = OpenJob("T", 1, at(0), load="one", worked_s=0, **more)
        return lot(key, operation("10", taking, "tumbler", open_jobs=(job,), setup=20))

    turned = lot("C", operation("10", single(30), "lathe", waiting=1, setup=10))
    case = shop([station("T", "tumbler"), station("L1", "lathe")], tumbled("A"), tumbled("B", in_setup=True), turned)
    found = plan(case, crew(1, 1))
    assert (runs(found, "A"), runs(found, "B"), runs(found, "C")) == ([(0, 80)], [(0, 80)], [(20, 60)])
