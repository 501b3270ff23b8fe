from app.core.calendar_hours import Downtime
from app.core.planning.forecasts import forecast
from app.core.planning.obstacles import Obstacle, ObstacleKind, Status
from app.core.shop import BarFed, Batch, LeadTime, NotBefore, PalletLoad
from tests.core.shops import at, calendar, lot, minutes, operation, shop, single, station, times

MILL, LATHE, BENCH = station("mill"), station("lathe", "lathe"), station("bench", "bench")


def test_all_pieces_move_on_at_the_end_of_the_operation():
    steps = operation("10", single(2), waiting=10), operation("20", single(3), "lathe")
    planned = forecast(shop([MILL, LATHE], lot("L", *steps))).lots["L"]
    assert times(planned, "20") == [(20, 50)]
    assert minutes(planned.finish) == 50


def test_a_slower_operation_starts_with_the_first_transfer():
    steps = operation("10", single(2), waiting=10, send_ahead=2), operation("20", single(3), "lathe")
    assert times(forecast(shop([MILL, LATHE], lot("L", *steps))).lots["L"], "20") == [(4, 34)]


def test_a_quicker_operation_starts_late_enough_not_to_run_dry():
    steps = operation("10", single(4), waiting=10, send_ahead=1), operation("20", single(1), "lathe")
    assert times(forecast(shop([MILL, LATHE], lot("L", *steps))).lots["L"], "20") == [(31, 41)]


def test_the_last_transfer_holds_what_is_left():
    steps = operation("10", single(1), waiting=10, send_ahead=4), operation("20", single(1), "lathe", send_ahead=4)
    planned = forecast(shop([MILL, LATHE, BENCH], lot("L", *steps, operation("30", single(1), "bench")))).lots["L"]
    assert times(planned, "20") == [(4, 14)]  # pieces at 4, 8 and 10
    assert times(planned, "30") == [(8, 18)]


def test_transfers_go_through_three_operations_at_once():
    steps = [
        operation(str(n), single(4), center, waiting=10 * (n == 1), send_ahead=1)
        for n, center in [(1, "mill"), (2, "lathe")]
    ]
    planned = forecast(shop([MILL, LATHE, BENCH], lot("L", *steps, operation("3", single(4), "bench")))).lots["L"]
    assert minutes(planned.finish) == 40 + 4 + 4


def test_a_start_that_never_runs_dry_reckons_with_closed_hours():
    """Pieces come at 6:00 to 8:00 over two mornings; the bench, open all day, waits for the last one to be near."""
    mornings = calendar(("06:00", "08:00"))
    steps = operation("10", single(60), waiting=4, send_ahead=1), operation("20", single(60), "bench")
    planned = forecast(shop([station("mill", calendar=mornings), BENCH], lot("L", *steps))).lots["L"]
    hour = 60  # pieces at 7:00, 8:00, 31:00 and 32:00
    assert times(planned, "20") == [(29 * hour, 33 * hour)]


def test_a_start_that_never_runs_dry_holds_for_each_station_that_may_take_it():
    """The early bench is closed from 10:00 on: it could begin at once, the other must wait."""
    benches = [station("early", "bench", calendar=calendar(("06:00", "10:00"))), station("late", "bench")]
    steps = operation("10", single(60), waiting=6, send_ahead=1), operation("20", single(30), "bench")
    planned = forecast(shop([station("mill"), *benches], lot("L", *steps), now=at(6 * 60))).lots["L"]
    run = planned.operations[1].runs[0]
    assert minutes(run.arrived) == 9 * 60 + 30
    assert run.end >= at(12 * 60) + 30 * 60


def test_set_up_begins_only_when_the_pieces_are_there():
    steps = operation("10", single(5), waiting=2), operation("20", single(5), "lathe", setup=30)
    assert times(forecast(shop([MILL, LATHE], lot("L", *steps))).lots["L"], "20") == [(10, 50)]


def test_pallets_take_up_a_load_when_all_of_it_is_there():
    steps = (
        operation("10", single(1), waiting=8, send_ahead=1),
        operation("20", PalletLoad(4, 60_000, load_ms=60_000), "lathe"),
    )
    assert times(forecast(shop([MILL, LATHE], lot("L", *steps))).lots["L"], "20") == [(6, 10)]  # loads at 6 and 8


def test_bars_cut_as_pieces_go_ahead():
    steps = operation("10", BarFed(2, 60_000, 60_000), waiting=4, send_ahead=2), operation("20", single(1), "lathe")
    assert times(forecast(shop([MILL, LATHE], lot("L", *steps))).lots["L"], "20") == [(4, 8)]  # pieces at 3 and 6


def test_pieces_already_downstream_are_worked_on_while_the_rest_is_upstream():
    steps = operation("10", single(10), waiting=3), operation("20", single(2), "lathe", waiting=5)
    planned = forecast(shop([MILL, LATHE], lot("L", *steps))).lots["L"]
    assert times(planned, "20") == [(0, 10), (30, 36)]
    assert [run.pieces for run in planned.operations[1].runs] == [5, 3]


def test_pieces_that_still_wait_when_more_arrive_run_together():
    steps = operation("10", single(10), waiting=3), operation("20", single(2), "lathe", waiting=5)
    ahead = lot("ahead", operation("10", single(40), "lathe", waiting=1), rush=True)
    assert times(forecast(shop([MILL, LATHE], lot("L", *steps), ahead)).lots["L"], "20") == [(40, 56)]


def test_counted_pieces_move_on_with_the_rest_or_at_once_when_nothing_is_left():
    with_rest = lot("rest", operation("10", single(10), waiting=2, counted=4), operation("20", single(1), "lathe"))
    alone = lot("alone", operation("10", single(10), counted=4), operation("20", single(1), "bench"))
    planned = forecast(shop([MILL, LATHE, BENCH], with_rest, alone)).lots
    assert times(planned["rest"], "20") == [(20, 26)]
    assert times(planned["alone"], "20") == [(0, 4)]


def test_counted_pieces_that_may_go_ahead_go_now():
    steps = operation("10", single(10), waiting=2, counted=4, send_ahead=1), operation("20", single(1), "lathe")
    planned = forecast(shop([MILL, LATHE], lot("L", *steps))).lots["L"]
    assert times(planned, "20") == [(0, 4), (19, 21)]


def test_an_operation_ends_with_its_last_run_not_its_latest_begun():
    """Two loads leave at once for two tumblers, the larger share of time to the slow one."""
    tumblers = [
        station("quick", "tumbler"),
        station("slow", "tumbler", calendar=calendar(("00:00", "00:30"), days=range(7))),
    ]
    steps = operation("10", Batch("deburr", 3_600_000, max_pieces=5), "tumbler", waiting=10), operation("20", single(1))
    planned = forecast(shop([*tumblers, MILL], lot("L", *steps))).lots["L"]
    assert times(planned, "10") == [(0, 60), (0, 24 * 60 + 30)]
    assert times(planned, "20") == [(24 * 60 + 30, 24 * 60 + 40)]


def test_a_batch_is_not_started_for_the_first_transfer_but_for_a_full_load():
    steps = (
        operation("10", single(1), waiting=10, send_ahead=1),
        operation("20", Batch("deburr", 300_000, max_pieces=4), "tumbler"),
    )
    planned = forecast(shop([MILL, station("tumbler", "tumbler")], lot("L", *steps))).lots["L"]
    assert times(planned, "20") == [(4, 9), (9, 14), (14, 19)]
    assert [run.pieces for run in planned.operations[1].runs] == [4, 4, 2]


def test_work_done_elsewhere_waits_for_all_pieces_sent_ahead():
    steps = operation("10", single(1), waiting=10, send_ahead=1), operation("20", LeadTime(2), "")
    assert times(forecast(shop([MILL], lot("L", *steps))).lots["L"], "20") == [(10, 10 + 2 * 24 * 60)]


def test_an_operation_waits_for_what_else_it_needs():
    bracket = NotBefore(at(45), "bracket")
    steps = operation("10", single(2), waiting=10), operation("20", single(3), "lathe", not_before=bracket)
    run = forecast(shop([MILL, LATHE], lot("L", *steps))).lots["L"].operations[1].runs[0]
    assert (minutes(run.arrived), minutes(run.ready), minutes(run.start)) == (20, 45, 45)


def test_held_pieces_stay_while_the_others_go_through():
    steps = operation("10", single(2), waiting=10, held=3), operation("20", single(3), "lathe")
    planned = forecast(shop([MILL, LATHE], lot("L", *steps))).lots["L"]
    assert (planned.status, planned.finish, minutes(planned.partial_finish)) == (Status.HELD, None, 50)
    assert planned.obstacle == Obstacle(ObstacleKind.PIECES_HELD, "10", number=3)


def test_pieces_behind_an_operation_that_stops_the_rest_still_go_through():
    steps = (
        operation("10", single(2), waiting=5),
        operation("20", single(2), "nowhere"),
        operation("30", single(2), "lathe", waiting=4),
    )
    planned = forecast(shop([MILL, LATHE], lot("L", *steps))).lots["L"]
    assert planned.status is Status.NO_STATION
    assert times(planned, "10") == [(0, 10)]
    assert minutes(planned.partial_finish) == 8


def test_a_station_that_is_down_is_not_used_until_it_is_back():
    down = calendar(("00:00", "00:00"), days=range(7), downtimes=(Downtime(at(10), at(100), guess=True),))
    planned = forecast(shop([station("mill", calendar=down)], lot("L", operation("10", single(1), waiting=20)))).lots[
        "L"
    ]
    assert times(planned, "10") == [(0, 110)]
