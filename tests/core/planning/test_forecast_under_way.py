import pytest

from app.core.planning.forecasts import forecast
from app.core.planning.obstacles import Status
from app.core.shop import BarFed, Batch, OpenJob, PalletLoad
from tests.core.shops import at, calendar, lot, operation, shop, single, station, times, told

MILL = station("mill")
TUMBLING = Batch("deburr", 3_600_000, max_pieces=100)


def begun(key, pieces=10, cycle=2, *, started=-5, **more):
    job = OpenJob(more.pop("at", "mill"), pieces, started_at=at(started), **more.pop("job", {}))
    return lot(key, operation("10", single(cycle), open_jobs=(job,), **more.pop("of_operation", {})), **more)


def test_a_job_under_way_goes_on_from_now_with_what_is_left():
    planned = forecast(shop([MILL], begun("L")))
    assert times(planned.lots["L"], "10") == [(0, 15)]
    assert planned.stations["mill"][0].under_way


def test_a_job_under_way_goes_before_work_of_higher_rank():
    urgent = lot("urgent", operation("10", single(1), waiting=5), rush=True)
    planned = forecast(shop([MILL], begun("L"), urgent)).lots
    assert times(planned["urgent"], "10") == [(15, 20)]
    assert told(planned["urgent"].chain) == [("station busy", "10", 15), ("running", "10", 5)]


def test_a_job_that_should_be_done_by_now_ends_now():
    planned = forecast(shop([MILL], begun("L", started=-500)))
    assert times(planned.lots["L"], "10") == [(0, 0)]
    assert planned.lots["L"].finish == at(0)
    assert planned.lots["L"].chain == ()


def test_closed_hours_do_not_count_as_worked():
    """Ten pieces of an hour, begun at 12:00 the Friday before: two hours are done, eight are left at Monday 6:00."""
    week = calendar(("06:00", "14:00"))
    job = begun("L", cycle=60, started=(-3 + 0.5) * 24 * 60)
    planned = forecast(shop([station("mill", calendar=week)], job))
    assert times(planned.lots["L"], "10") == [(0, 14 * 60)]
    assert told(planned.lots["L"].chain) == [("running", "10", 480), ("closed", "10", 360)]


def test_time_worked_may_be_told_so_that_pauses_do_not_count():
    assert times(forecast(shop([MILL], begun("L", started=-500, job={"worked_s": 120}))).lots["L"], "10") == [(0, 18)]


def test_set_up_under_way_counts_as_long_as_it_lasts():
    slow = begun("L", job={"in_setup": True}, of_operation={"setup": 30})
    planned = forecast(shop([MILL], slow)).lots["L"]
    assert times(planned, "10") == [(0, 45)]
    assert told(planned.chain) == [("set-up", "10", 25), ("running", "10", 20)]


def test_two_jobs_at_a_station_with_two_pallets_end_one_after_the_other():
    planned = forecast(shop([MILL], begun("second", started=-5, rush=True), begun("first", started=-6))).lots
    assert times(planned["first"], "10") == [(0, 14)]
    assert times(planned["second"], "10") == [(14, 34)]  # the six minutes were the first one's


def test_hours_are_the_next_load_s_from_when_the_one_before_should_be_done():
    """Five pieces of 2 min begun half an hour ago should be done since 20 min, which the other has had."""
    planned = forecast(shop([MILL], begun("first", 5, started=-30), begun("second", 15, started=-25))).lots
    assert times(planned["first"], "10") == [(0, 0)]
    assert times(planned["second"], "10") == [(0, 10)]


def test_a_load_of_several_jobs_gives_the_hours_on_when_the_longest_is_done():
    """Tumbled for an hour, from -90 to -30; the ten pieces of 2 min begun meanwhile have half an hour from then on."""
    shared = [
        lot(key, operation("10", TUMBLING, open_jobs=(OpenJob("mill", 5, at(started), load="7"),)))
        for key, started in (("a", -100), ("b", -90))
    ]
    planned = forecast(shop([MILL], *shared, begun("L", 20, started=-80))).lots
    assert [times(planned[key], "10") for key in ("a", "b", "L")] == [[(0, 0)], [(0, 0)], [(0, 10)]]


def test_hours_are_no_load_s_that_is_told_what_it_has_behind_it():
    told_of = begun("first", 5, started=-30, job={"worked_s": 60})
    planned = forecast(shop([MILL], told_of, begun("second", 15, started=-25))).lots
    assert times(planned["first"], "10") == [(0, 9)]
    assert times(planned["second"], "10") == [(9, 14)]


TENDED = PalletLoad(1, 600_000, load_ms=240_000, unload_ms=120_000)


@pytest.mark.parametrize(("now", "counted"), [(0, 0), (17, 0), (18, 1), (28, 1), (29, 2), (39, 2)])
def test_a_count_leaves_the_next_pallet_where_it_is(now, counted):
    """Three loads begun at 0 are unloaded at 18, 29 and 40: 4 min to load, a change of 1, cut for 10, 2 to unload."""
    two = station("mill", pallets=2, pallet_change_ms=60_000)
    job = OpenJob("mill", 3 - counted, at(0), counted=counted)
    planned = forecast(shop([two], lot("L", operation("10", TENDED, open_jobs=(job,))), now=at(now)))
    assert times(planned.lots["L"], "10") == [(now, 40)]


def test_a_count_does_not_change_the_bar():
    """Ten pieces a bar, 1 min each, 5 min a change: 13 are done at 23, 20 at 30 and all 25 at 40."""
    job = OpenJob("mill", 12, at(0), counted=13)
    step = operation("10", BarFed(10, 60_000, 300_000), open_jobs=(job,))
    assert times(forecast(shop([MILL], lot("L", step), now=at(23))).lots["L"], "10") == [(23, 40)]


def test_seconds_told_are_of_the_whole_run():
    job = OpenJob("mill", 12, at(0), worked_s=25 * 60, counted=13)
    step = operation("10", BarFed(10, 60_000, 300_000), open_jobs=(job,))
    assert times(forecast(shop([MILL], lot("L", step), now=at(100))).lots["L"], "10") == [(100, 115)]


def test_pieces_behind_a_count_go_ahead_when_the_whole_run_has_done_them():
    """Of the loads unloaded at 18, 29 and 40 the first is counted and gone; the second has 11 min until the third."""
    two = station("mill", pallets=2, pallet_change_ms=60_000)
    job = OpenJob("mill", 2, at(0), counted=1)
    steps = operation("10", TENDED, open_jobs=(job,), send_ahead=1), operation("20", single(20), "bench")
    planned = forecast(shop([two, station("bench", "bench")], lot("L", *steps), now=at(20))).lots["L"]
    assert times(planned, "20") == [(29, 69)]


def test_set_up_and_work_of_the_whole_run_are_left_less_what_is_behind_it():
    job = OpenJob("mill", 6, at(0), in_setup=True, needed_setup_s=1200, counted=4)
    step = operation("10", single(5), open_jobs=(job,), setup=30)
    assert times(forecast(shop([MILL], lot("L", step), now=at(45))).lots["L"], "10") == [(45, 70)]


def test_lots_that_share_a_batch_under_way_end_together():
    jobs = {
        key: lot(key, operation("10", TUMBLING, open_jobs=(OpenJob("mill", 5, at(started), load="7"),)))
        for key, started in (("a", -21), ("b", -20))
    }
    planned = forecast(shop([MILL], *jobs.values()))
    assert times(planned.lots["a"], "10") == times(planned.lots["b"], "10") == [(0, 40)]
    assert len({run.load for run in planned.stations["mill"]}) == 1


def test_a_shared_load_sends_its_pieces_ahead_when_it_ends():
    shared = [
        lot(
            key,
            operation(
                "10", PalletLoad(5, 600_000), open_jobs=(OpenJob("mill", 5, at(0), load="7"),), send_ahead=1, waiting=5
            ),
            operation("20", single(1), "bench"),
        )
        for key in "ab"
    ]
    planned = forecast(shop([MILL, station("bench", "bench")], *shared)).lots
    assert [times(planned[key], "20") for key in "ab"] == [[(10, 15), (20, 25)], [(15, 20), (30, 35)]]


def test_pieces_waiting_at_the_operation_follow_without_set_up():
    steps = operation("10", single(1), open_jobs=(OpenJob("mill", 5, at(0)),), waiting=4, setup=30, family="a")
    assert times(forecast(shop([MILL], lot("L", steps))).lots["L"], "10") == [(0, 5), (5, 9)]


def test_pieces_of_a_job_under_way_go_ahead_as_they_are_done():
    away = OpenJob("mill", 4, at(-4))
    steps = operation("10", single(10), open_jobs=(away,), send_ahead=1), operation("20", single(10), "bench")
    assert times(forecast(shop([MILL, station("bench", "bench")], lot("L", *steps))).lots["L"], "20") == [(6, 46)]


def test_a_job_said_to_be_begun_before_the_calendar_ends_now():
    planned = forecast(shop([MILL], begun("L", started=-(10**12)))).lots["L"]
    assert (planned.status, planned.finish) == (Status.PLANNED, at(0))


def test_a_job_at_a_station_that_does_not_open_again_is_given_up():
    closed = station("mill", calendar=calendar())
    planned = forecast(shop([closed], begun("L", job={"worked_s": 0})))
    assert planned.lots["L"].status is Status.NO_OPEN_HOURS
    assert planned.stations["mill"] == ()
