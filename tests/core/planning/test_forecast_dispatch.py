from app.core.calendar_hours import OpenHours
from app.core.calendars import WorkCalendar
from app.core.planning.forecasts import forecast
from app.core.worktime import Span
from tests.core.shops import DAY, HOUR, at, calendar, hours_of, lot, minutes, operation, shop, single, station, times


def one_operation(key, cycle=10, *, pieces=1, **more):
    of_operation = {name: more.pop(name) for name in ("setup", "family", "stations", "work_center") if name in more}
    return lot(key, operation("10", single(cycle), waiting=pieces, **of_operation), **more)


def order_on(planned, key="A"):
    return [run.lot for run in planned.stations[key]]


def test_the_lowest_rank_goes_first():
    lots = [
        one_operation("number 2", due=9, released=5),
        one_operation("number 1", due=9, released=5),
        one_operation("released earlier", due=9, released=4),
        one_operation("without due date"),
        one_operation("due earlier", due=8, released=5),
        one_operation("rush", due=99, rush=True),
        one_operation("pinned second", due=99, pinned=2),
        one_operation("pinned first", pinned=1),
    ]
    assert order_on(forecast(shop([station("A")], *lots))) == [
        "pinned first",
        "pinned second",
        "rush",
        "due earlier",
        "released earlier",
        "number 1",
        "number 2",
        "without due date",
    ]


def test_a_run_once_begun_is_not_broken_off():
    later = one_operation("later", due=9)
    urgent = lot("urgent", operation("5", single(3), "lathe", waiting=1), operation("10", single(1)), due=1)
    planned = forecast(shop([station("A"), station("B", "lathe")], later, urgent))
    assert times(planned.lots["later"], "10") == [(0, 10)]
    assert times(planned.lots["urgent"], "10") == [(10, 11)]


def test_pieces_that_arrive_the_second_a_station_is_free_are_considered():
    first = one_operation("first", 10, due=1)
    next_by_rank = lot("next", operation("5", single(10), "lathe", waiting=1), operation("10", single(1)), due=2)
    last = one_operation("last", 1, due=3)
    planned = forecast(shop([station("A"), station("B", "lathe")], first, next_by_rank, last))
    assert order_on(planned) == ["first", "next", "last"]


def test_a_station_decides_when_it_opens_so_that_what_arrives_overnight_is_considered():
    day = calendar(("06:00", "14:00"))
    waiting = one_operation("waiting", 480, due=2, pieces=2)
    overnight = lot("overnight", operation("5", single(20 * 60), "lathe", waiting=1), operation("10", single(1)), due=1)
    planned = forecast(
        shop([station("A", calendar=day), station("B", "lathe")], one_operation("today", 480), waiting, overnight)
    )
    assert order_on(planned) == ["waiting", "overnight", "today"]
    runs = planned.stations["A"]
    assert (runs[0].start, runs[0].end) == (at(6 * 60), at(24 * 60 + 14 * 60))
    assert runs[1].start == at(48 * 60 + 6 * 60)


def test_work_that_ends_at_closing_leaves_the_station_to_whatever_waits_in_the_morning():
    day = calendar(("06:00", "14:00"))
    planned = forecast(shop([station("A", calendar=day)], one_operation("a", 480), one_operation("b", 60)))
    assert [(run.start, run.end) for run in planned.stations["A"]] == [
        (at(6 * 60), at(14 * 60)),
        (at(30 * 60), at(31 * 60)),
    ]


def test_no_set_up_when_the_same_family_follows_itself():
    lots = [one_operation(f"L{n}", 10, setup=30, family=family, pinned=n) for n, family in enumerate("aabba")]
    planned = forecast(shop([station("A")], *lots))
    assert [run.setup_s // 60 for run in planned.stations["A"]] == [30, 0, 30, 0, 30]


def test_a_station_that_is_set_up_for_the_family_needs_no_set_up_now():
    planned = forecast(shop([station("A", set_up_for="a")], one_operation("L", 10, setup=30, family="a")))
    assert times(planned.lots["L"], "10") == [(0, 10)]


def test_an_operation_without_a_family_is_always_set_up():
    lots = [one_operation("L1", 10, setup=30), one_operation("L2", 10, setup=30)]
    assert [run.setup_s for run in forecast(shop([station("A")], *lots)).stations["A"]] == [1800, 1800]


def test_of_two_free_stations_the_one_that_would_finish_first_gets_the_work():
    stations = [station("A"), station("B", set_up_for="a")]
    planned = forecast(shop(stations, one_operation("L", 10, setup=30, family="a")))
    assert order_on(planned, "B") == ["L"]


def test_of_equal_stations_the_first_in_the_shop_gets_the_work():
    planned = forecast(shop([station("B"), station("A")], one_operation("L")))
    assert order_on(planned, "B") == ["L"]


def test_lots_spread_over_the_stations_of_a_work_center():
    planned = forecast(shop([station("A"), station("B")], *(one_operation(f"L{n}") for n in range(4))))
    assert [order_on(planned, key) for key in "AB"] == [["L0", "L2"], ["L1", "L3"]]


def test_an_operation_that_names_stations_runs_at_those_only_whatever_their_work_center():
    stations = [station("A"), station("B"), station("C", "lathe")]
    tied = [one_operation(f"L{n}", stations=("C", "B")) for n in range(2)]
    free = [one_operation("free", due=1)]
    planned = forecast(shop(stations, *tied, *free))
    assert [order_on(planned, key) for key in "ABC"] == [["free"], ["L0"], ["L1"]]


def test_a_closed_station_does_not_keep_work_from_an_open_one():
    stations = [station("A", calendar=calendar(("06:00", "14:00"))), station("B")]
    planned = forecast(shop(stations, one_operation("L")))
    assert order_on(planned, "B") == ["L"]


def test_a_station_whose_hours_run_out_leaves_the_work_to_the_others():
    one_hour_left = WorkCalendar(OpenHours("UTC", overtime=(Span(at(0), at(60)),)))
    late = calendar(("06:00", "14:00"), days=[2])
    stations = [station("A", calendar=one_hour_left), station("B", calendar=late)]
    planned = forecast(shop(stations, one_operation("long", 90, due=1), one_operation("short", 60, due=2)))
    assert times(planned.lots["long"], "10") == [(54 * 60, 54 * 60 + 90)]
    assert times(planned.lots["short"], "10") == [(0, 60)]


def test_work_pauses_over_the_long_night_of_autumn():
    """Clocks go back on 1 November 2026: the shift from 22:00 to 06:00 has nine hours."""
    nights = WorkCalendar(hours_of(("22:00", "06:00"), days=[5, 0], zone="America/Chicago"))
    saturday_2200_cdt = at(0) + 300 * DAY + 3 * HOUR  # 1 November 03:00 UTC
    planned = forecast(shop([station("A", calendar=nights)], one_operation("L", 60, pieces=10), now=saturday_2200_cdt))
    last_hour_begins = saturday_2200_cdt + 2 * DAY + HOUR  # Monday 22:00 CST
    assert planned.lots["L"].finish == last_hour_begins + HOUR
    assert minutes(planned.stations["A"][0].start) == minutes(saturday_2200_cdt)
