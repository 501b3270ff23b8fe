"""Load by station and week, on plans small enough to count by hand."""

from dataclasses import replace

from app.core.calendar_hours import Downtime
from app.core.load import bottleneck, load_by_week
from app.core.planning.decoding import decode
from app.core.planning.outcome import plan_of_arrays
from app.core.shop import Batch, Crew, OverClosed, Shop
from tests.core.planning.every_rule import draw_shop
from tests.core.shops import DAY, HOUR, MONDAY, at, calendar, lot, operation, shop, single, station

DAYTIME = calendar(("08:00", "16:00"))  # Monday to Friday, 40 hours a week
WEEK = 7 * DAY


def weeks(given: Shop) -> dict[tuple[str, int], tuple[int | float, ...]]:
    """Return open, busy, set-up and unattended hours by station and number of the week."""
    found = load_by_week(given, plan_of_arrays(decode(given)).operations)
    return {
        (one.station, (one.week - MONDAY) // WEEK): tuple(
            each / HOUR for each in (one.open_s, one.busy_s, one.setup_s, one.alone_s)
        )
        for one in found
    }


def test_work_counts_in_the_week_in_which_it_is_done_and_only_while_open() -> None:
    work = operation("10", single(60), waiting=42, setup=120)  # 44 hours: 40 in the first week, 4 in the next
    given = shop([station("M", calendar=DAYTIME), station("L", "lathe", calendar=DAYTIME)], lot("1", work))
    assert weeks(given) == {
        ("M", 0): (40, 40, 2, 0),
        ("M", 1): (40, 4, 0, 0),
        ("L", 0): (40, 0, 0, 0),
        ("L", 1): (40, 0, 0, 0),
    }


def test_the_hours_before_now_and_downtime_are_not_open() -> None:
    down = calendar(("08:00", "16:00"), downtimes=(Downtime(at(3 * 1440), at(4 * 1440)),))  # Thursday
    work = operation("10", single(60), waiting=10)
    given = shop([station("M", calendar=down)], lot("1", work), now=at(1440 + 12 * 60))  # Tuesday noon
    assert weeks(given) == {("M", 0): (4 + 8 + 8, 10, 0, 0)}


def test_set_up_that_pauses_over_night_counts_its_open_hours() -> None:
    work = operation("10", single(60), waiting=1, setup=180)
    given = shop([station("M", calendar=DAYTIME)], lot("1", work), now=at(15 * 60))
    assert weeks(given) == {("M", 0): (33, 4, 3, 0)}


def test_work_that_goes_on_alone_is_told_apart() -> None:
    bars = station("M", calendar=DAYTIME, over_closed=OverClosed.UNATTENDED, unattended_s=3 * HOUR)
    given = shop([bars], lot("1", operation("10", single(60), waiting=12)))
    assert weeks(given) == {("M", 0): (40, 9, 0, 3)}  # eight, three alone, and one the next morning


def test_a_shared_batch_counts_once() -> None:
    bake = Batch("hard", 7_200_000, max_pieces=10)
    lots = [lot(str(n), operation("10", bake, "oven", waiting=5)) for n in range(2)]
    assert weeks(shop([station("O", "oven", calendar=DAYTIME)], *lots))["O", 0] == (40, 2, 0, 0)


def test_a_station_is_not_busy_while_nobody_is_there() -> None:
    crew = Crew(calendar(("12:00", "16:00")), 1, 1)
    given = shop([station("M", calendar=DAYTIME)], lot("1", operation("10", single(60), waiting=5, setup=60)))
    assert weeks(replace(given, people=(crew,))) == {("M", 0): (40, 6, 1, 0)}


def test_weeks_follow_the_wall_clock_over_a_change_of_the_clocks() -> None:
    for seed in range(30):
        given = draw_shop(seed)
        plan = plan_of_arrays(decode(given))
        found = load_by_week(given, plan.operations)
        for one in found:
            assert given.receiving.hours.local(one.week).strftime("%a %H:%M:%S") == "Mon 00:00:00"
            assert 0 <= one.setup_s <= one.busy_s + one.alone_s
            assert 0 <= one.busy_s <= one.open_s
        assert {one.station for one in found} == {each.key for each in given.stations}


def test_the_bottleneck_has_the_largest_share_of_its_hours_busy() -> None:
    half = calendar(("08:00", "12:00"))
    lots = lot("1", operation("10", single(60), waiting=20), operation("20", single(45), "lathe", send_ahead=1))
    given = shop([station("M", calendar=DAYTIME), station("L", "lathe", calendar=half)], lots)
    found = load_by_week(given, plan_of_arrays(decode(given)).operations)
    assert bottleneck(found) == "L"  # 15 of 20 hours against 20 of 40
    assert bottleneck(one for one in found if one.station == "M") == "M"
    assert bottleneck([]) is None
    assert found[0].utilisation == 0.5


def test_a_station_that_never_opens_has_no_utilisation_and_an_idle_shop_no_bottleneck() -> None:
    given = shop([station("M", calendar=calendar())])
    found = load_by_week(given, plan_of_arrays(decode(given)).operations)
    assert [one.utilisation for one in found] == [None]
    assert bottleneck(found) is None
