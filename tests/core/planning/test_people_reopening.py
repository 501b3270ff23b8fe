"""Hand cases of people whom a station wants again when it opens, by the minute from Monday 00:00, reckoned by hand."""

from collections.abc import Iterable
from dataclasses import replace

import pytest

from app.core.calendar_hours import Downtime
from app.core.plan_check import check
from app.core.planning.forecasts import forecast
from app.core.planning.result_file import Plan
from app.core.shop import Batch, Crew, Lot, OpenJob, OverClosed, PalletLoad, Shop, Station
from tests.core.planning.plans import plan, runs
from tests.core.shops import at, calendar, lot, operation, round_the_clock, shop, single, station, told

NOON = 12 * 60
WITH_A_PAUSE = calendar(("06:00", "12:00"), ("12:30", "18:00"))


def crew(setters: int, tenders: int, *shifts: tuple[str, str]) -> Crew:
    return Crew(calendar(*shifts) if shifts else round_the_clock(), setters, tenders)


def paused(key: str = "M1", work_center: str = "mill", **more: object) -> Station:
    """Return a station that is closed from 12:00 to 12:30."""
    return station(key, work_center, calendar=WITH_A_PAUSE, **more)


def kept(minutes: float, **more: object) -> Lot:
    """Return a lot that is begun at 11:30 at the mill, which then closes."""
    return lot("A", operation("10", single(minutes), waiting=1, **more), released=at(NOON - 30))


def next_at_noon(minutes: float, **more: object) -> Lot:
    """Return a lot for the lathe from noon on."""
    return lot("B", operation("10", single(minutes), "lathe", waiting=1, **more), released=at(NOON))


def noon(*lots: Lot, crews: tuple[Crew, ...], mill: Station | None = None, others: Iterable[Station] = ()) -> Shop:
    """Return a shop of a mill that pauses at noon and others, a lathe that does not if none are given, at 11:30."""
    stations = [mill or paused(), *(others or [station("L1", "lathe")])]
    return replace(shop(stations, *lots, now=at(NOON - 30)), people=crews)


def planned(*lots: Lot, crews: tuple[Crew, ...], mill: Station | None = None, others: Iterable[Station] = ()) -> Plan:
    """Return the proved plan of such a shop."""
    case = noon(*lots, crews=crews, mill=mill, others=others)
    found = plan(case)
    assert check(case, found) == ()
    return found


def test_who_sets_up_is_kept_for_the_station_that_opens_again() -> None:
    """30 of A's 60 minutes of set-up are left at 12:30; B's, from 12:00 on, would take until 13:00."""
    found = planned(kept(60, setup=60), next_at_noon(60, setup=60), crews=(crew(1, 0),))
    assert runs(found, "A") == [(NOON - 30, NOON + 120)]
    assert runs(found, "B") == [(NOON + 60, NOON + 180)]


def test_what_is_over_by_the_opening_goes_before_it() -> None:
    found = planned(kept(60, setup=60), next_at_noon(60, setup=30), crews=(crew(1, 0),))
    assert runs(found, "B") == [(NOON, NOON + 90)]
    late = planned(kept(60, setup=60), next_at_noon(60, setup=31), crews=(crew(1, 0),))
    assert runs(late, "B") == [(NOON + 60, NOON + 60 + 91)]


def test_two_who_set_up_are_enough_for_both() -> None:
    found = planned(kept(60, setup=60), next_at_noon(60, setup=60), crews=(crew(2, 0),))
    assert runs(found, "B") == [(NOON, NOON + 120)]


@pytest.mark.parametrize(("share", "start"), [(400, NOON), (401, NOON + 60)])
def test_a_share_is_kept_too(share: int, start: int) -> None:
    """A holds 600 thousandths until 13:00: 30 minutes before the pause, 30 behind it."""
    found = planned(kept(60, tend_permille=600), next_at_noon(60, tend_permille=share), crews=(crew(0, 1),))
    assert runs(found, "B") == [(start, start + 60)]


def test_what_is_kept_counts_only_for_those_whom_it_holds_when_its_station_opens() -> None:
    """A's set-up is over at noon, and it holds no share: B may be set up and tended."""
    lots = kept(60, setup=30), next_at_noon(60, setup=60, tend_permille=1000)
    assert runs(planned(*lots, crews=(crew(1, 1),)), "B") == [(NOON, NOON + 120)]


def test_what_goes_on_alone_and_is_over_by_the_opening_wants_nobody() -> None:
    alone = paused(over_closed=OverClosed.UNATTENDED, unattended_s=3600)
    lots = kept(50, tend_permille=1000), next_at_noon(60, tend_permille=1000)
    assert runs(planned(*lots, crews=(crew(0, 1),), mill=alone), "B") == [(NOON, NOON + 60)]


def test_a_run_whose_own_station_is_closed_at_the_opening_holds_nobody_then() -> None:
    """The lathe is closed from 12:20 to 13:00, when A is over."""
    lathe = station("L1", "lathe", calendar=calendar(("06:00", "12:20"), ("13:00", "18:00")))
    found = planned(kept(60, setup=60), next_at_noon(30, setup=60), crews=(crew(1, 0),), others=[lathe])
    assert runs(found, "B") == [(NOON, NOON + 130)]


def test_who_comes_by_the_opening_counts_then() -> None:
    crews = crew(1, 0, ("06:00", "18:00")), crew(1, 0, ("12:30", "18:00"))
    found = planned(kept(60, setup=60), next_at_noon(60, setup=60), crews=crews)
    assert runs(found, "B") == [(NOON, NOON + 120)]


def test_who_is_gone_by_the_opening_does_not_count() -> None:
    crews = crew(1, 0, ("06:00", "18:00")), crew(1, 0, ("06:00", "12:15"))
    found = planned(kept(60, setup=60), next_at_noon(60, setup=60), crews=crews)
    assert runs(found, "B") == [(NOON + 60, NOON + 180)]


def test_where_nobody_is_left_at_the_opening_what_is_kept_keeps_nobody() -> None:
    """The only one who sets up leaves at 12:15: B begins while she is there, as it would if nothing were kept."""
    crews = crew(0, 1), crew(1, 0, ("06:00", "12:15"))
    found = planned(kept(60, setup=60), next_at_noon(60, setup=60), crews=crews)
    assert runs(found, "B") == [(NOON, NOON + 120)]


def test_a_share_larger_than_the_next_crew_goes_on_beside_what_is_kept() -> None:
    """Two tend until 12:15, one from then on; B holds both, whatever A wants at 12:30."""
    crews = crew(0, 1, ("06:00", "18:00")), crew(0, 1, ("06:00", "12:15"))
    found = planned(kept(60, tend_permille=500), next_at_noon(60, tend_permille=2000), crews=crews)
    assert runs(found, "B") == [(NOON, NOON + 60)]


def test_what_is_begun_elsewhere_counts_at_the_opening_too() -> None:
    """A and X hold a half each; with B's half there would be three halves of one person at 12:30."""
    x = lot("X", operation("10", single(180), "saw", waiting=1, tend_permille=500), released=at(NOON - 30))
    lots = kept(60, tend_permille=500), next_at_noon(60, tend_permille=500), x
    found = planned(*lots, crews=(crew(0, 1),), others=[station("L1", "lathe"), station("S1", "saw")])
    assert (runs(found, "X"), runs(found, "B")) == ([(NOON - 30, NOON + 150)], [(NOON + 60, NOON + 120)])


def test_of_several_stations_that_open_again_each_is_left_its_people() -> None:
    """The mill opens at 12:30, the saw at 12:45 and holds its share until 13:30."""
    saw = station("S1", "saw", calendar=calendar(("06:00", "12:00"), ("12:45", "18:00")))
    x = lot("X", operation("10", single(75), "saw", waiting=1, tend_permille=400), released=at(NOON - 30))

    def begins(minutes: float, share: int) -> float | None:
        lots = kept(60, tend_permille=600), next_at_noon(minutes, tend_permille=share), x
        found = planned(*lots, crews=(crew(0, 1),), others=[station("L1", "lathe"), saw])
        return runs(found, "B")[0][0]

    assert begins(30, 1000) == NOON
    assert begins(45, 400) == NOON  # over when the saw opens
    assert begins(46, 400) == NOON + 60  # the mill is done at 13:00
    assert begins(46, 601) == NOON + 90  # the saw at 13:30


def test_a_job_under_way_that_its_station_keeps_counts_likewise() -> None:
    job = OpenJob("M1", 1, at(NOON - 60), worked_s=0)
    under_way = lot("A", operation("10", single(60), open_jobs=(job,), tend_permille=1000))
    found = planned(under_way, next_at_noon(60, tend_permille=1000), crews=(crew(0, 1),))
    assert (runs(found, "A"), runs(found, "B")) == ([(NOON - 30, NOON + 60)], [(NOON + 60, NOON + 120)])


def test_of_jobs_under_way_only_the_one_that_is_begun_is_kept() -> None:
    """The first is done at 12:10, alone; the second, of 60 minutes, is begun then and wants its person at 12:30."""
    jobs = [OpenJob("M1", 1, at(NOON - 60 + number), worked_s=0) for number in range(2)]
    first = lot("A", operation("10", single(40), open_jobs=(jobs[0],), tend_permille=1000))
    second = lot("C", operation("10", single(60), open_jobs=(jobs[1],)))
    alone = paused(over_closed=OverClosed.UNATTENDED, unattended_s=600)
    found = planned(first, second, next_at_noon(60, tend_permille=1000), crews=(crew(0, 1),), mill=alone)
    assert (runs(found, "A"), runs(found, "C")) == ([(NOON - 30, NOON + 10)], [(NOON + 10, NOON + 90)])
    assert runs(found, "B") == [(NOON, NOON + 60)]


def test_a_run_on_the_other_pallet_counts_likewise() -> None:
    """At noon the mill has A's last load out and B's in; both are there again at 12:30, each with its share."""
    mill = paused(pallets=2)
    loads = PalletLoad(1, cycle_ms=30 * 60_000, load_ms=5 * 60_000, unload_ms=5 * 60_000)
    lots = [
        lot(key, operation("10", loads, waiting=1, tend_permille=400), released=at(NOON - 30)) for key in ("A", "C")
    ]
    found = planned(*lots, next_at_noon(45, tend_permille=300), crews=(crew(0, 1),), mill=mill)
    assert (runs(found, "A"), runs(found, "C")) == ([(NOON - 30, NOON + 40)], [(NOON - 25, NOON + 70)])
    assert runs(found, "B") == [(NOON + 40, NOON + 85)]
    found = planned(*lots, next_at_noon(45, tend_permille=200), crews=(crew(0, 1),), mill=mill)
    assert runs(found, "B") == [(NOON, NOON + 45)]


def test_a_batch_leaves_the_kept_run_its_people_too() -> None:
    oven = Batch("soft", 60 * 60_000, max_pieces=10, piece_weight_g=1)
    batch = lot("B", operation("10", oven, "oven", waiting=4, tend_permille=500), released=at(NOON))
    other = lot("C", operation("10", oven, "oven", waiting=4, tend_permille=500), released=at(NOON + 15))
    lots = kept(60, tend_permille=600), batch, other
    found = planned(*lots, crews=(crew(0, 1),), others=[station("O1", "oven")])
    assert runs(found, "B") == runs(found, "C") == [(NOON + 60, NOON + 120)]


def test_a_downtime_is_a_closing_like_others() -> None:
    down = calendar(("06:00", "18:00"), downtimes=(Downtime(at(NOON), at(NOON + 30)),))
    lots = kept(60, setup=60), next_at_noon(60, setup=60)
    found = planned(*lots, crews=(crew(1, 0),), mill=station("M1", calendar=down))
    assert runs(found, "B") == [(NOON + 60, NOON + 180)]


def test_shorter_work_of_a_later_rank_goes_first() -> None:
    short = lot("C", operation("10", single(5), "lathe", waiting=1, setup=20), released=at(NOON), due=at(9_999))
    found = planned(kept(60, setup=60), next_at_noon(60, setup=60), short, crews=(crew(1, 0),))
    assert (runs(found, "C"), runs(found, "B")) == ([(NOON, NOON + 25)], [(NOON + 60, NOON + 180)])


def test_the_wait_is_told_as_one_for_a_person() -> None:
    case = noon(kept(60, setup=60), next_at_noon(60, setup=60), crews=(crew(1, 0),))
    assert told(forecast(case).lots["B"].chain) == [
        ("not released", "10", 30),
        ("no person", "10", 60),
        ("set-up", "10", 60),
        ("running", "10", 60),
    ]
