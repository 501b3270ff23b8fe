"""The present: jobs under way go on with what is left of them, before anything else."""

from dataclasses import replace

from app.core.plan_check import Rule, check
from app.core.shop import BarFed, Batch, Crew, OpenJob, OverClosed
from tests.core.plan_check.plans import broken, forecast_plan, row, verdict
from tests.core.shops import MINUTE, at, calendar, lot, operation, round_the_clock, shop, single, station


def job(station="M", pieces=4, began=-30, **more):
    return OpenJob(station, pieces, at(began), **more)


def on_mill(*jobs, waiting=0, **more):
    """Pieces of ten minutes each."""
    return lot("L", operation("10", single(10), open_jobs=jobs, waiting=waiting, setup=20, **more))


def going_on(start, end, lot="L", pieces=4, **more):
    return row(lot, 0, "M", start, end, pieces, under_way=True, **more)


def test_it_goes_on_from_now_with_what_is_left():
    """Forty minutes of work, thirty of them done."""
    case = shop([station("M")], on_mill(job()))
    assert verdict(case, going_on(0, 10)) == set()
    for start, end in ((0, 40), (0, 9), (5, 15)):
        assert Rule.UNDER_WAY in verdict(case, going_on(start, end))


def test_what_should_be_done_by_now_ends_now():
    assert verdict(shop([station("M")], on_mill(job(began=-300))), going_on(0, 0)) == set()


def test_only_open_hours_have_been_worked():
    hours = calendar(("08:00", "16:00"))
    case = shop([station("M", calendar=hours)], on_mill(job(began=470)), now=at(490))
    assert verdict(case, going_on(490, 520)) == set()  # open since 480
    assert Rule.UNDER_WAY in verdict(case, going_on(490, 510))


def test_seconds_recorded_count_instead_of_the_clock():
    assert verdict(shop([station("M")], on_mill(job(worked_s=5 * MINUTE))), going_on(0, 35)) == set()


def test_a_set_up_under_way_is_finished_first():
    case = shop([station("M")], on_mill(job(began=-15, in_setup=True)))
    assert verdict(case, going_on(0, 45, setup=5)) == set()
    assert Rule.UNDER_WAY in verdict(case, going_on(0, 25))
    assert Rule.SETUP in verdict(case, going_on(0, 45))


def test_it_pauses_when_closed_even_where_nothing_else_would_be_begun():
    machine = station("M", calendar=calendar(("08:00", "16:00")), over_closed=OverClosed.FIT)
    case = shop([machine], on_mill(job(began=940)), now=at(950))
    assert verdict(case, going_on(950, 32 * 60 + 20)) == set()
    assert Rule.UNDER_WAY in verdict(case, going_on(950, 980))


def test_it_goes_on_unattended_but_for_its_set_up():
    machine = station("M", calendar=calendar(("08:00", "16:00")), over_closed=OverClosed.UNATTENDED, unattended_s=3_600)
    case = shop([machine], on_mill(job(began=940)), now=at(950))
    assert verdict(case, going_on(950, 980)) == set()
    assert Rule.UNDER_WAY in verdict(case, going_on(950, 32 * 60 + 20))
    case = shop([machine], on_mill(job(began=945, in_setup=True)), now=at(950))
    assert verdict(case, going_on(950, 32 * 60 + 5 + 40, setup=15)) == set()
    assert Rule.UNDER_WAY in verdict(case, going_on(950, 1005, setup=15))


def test_no_job_under_way_is_forgotten_or_made_up():
    case = shop([station("M")], on_mill(job(), waiting=2))
    assert {Rule.UNDER_WAY, Rule.COUNT} <= verdict(case, row("L", 0, "M", 0, 40, 2, setup=20))
    made_up = shop([station("M")], on_mill(waiting=4))
    assert Rule.UNDER_WAY in verdict(made_up, going_on(0, 10))
    assert Rule.UNDER_WAY in verdict(case, going_on(0, 10, pieces=3))


def test_it_goes_on_also_where_nobody_ever_begins_the_rest():
    case = replace(shop([station("M")], on_mill(job(), waiting=2)), people=(Crew(round_the_clock(), 0, 1),))
    found = forecast_plan(case)
    assert check(case, found) == ()
    assert [run.end for run in found.operations] == [at(10)]
    assert Rule.UNDER_WAY in broken(case, replace(found, operations=()))


def test_it_goes_on_only_where_its_station_has_hours():
    nobody = replace(shop([station("M")], on_mill(job())), people=())
    found = forecast_plan(nobody)
    assert (found.operations, check(nobody, found)) == ((), ())


def test_nothing_else_begins_before_it_is_done():
    case = shop(
        [station("M")], on_mill(job(), family="a"), lot("K", operation("10", single(10), waiting=1, family="a"))
    )
    assert verdict(case, going_on(0, 10), row("K", 0, "M", 10, 20)) == set()
    assert Rule.OVERLAP in verdict(case, going_on(0, 10), row("K", 0, "M", 9, 19))


def test_jobs_at_one_station_follow_one_another_in_the_order_in_which_they_began():
    other = replace(on_mill(job(pieces=2, began=-40, worked_s=0)), key="K", number="K")
    case = shop([station("M")], on_mill(job(worked_s=0)), other)
    assert verdict(case, going_on(0, 20, "K", 2), going_on(20, 60)) == set()
    assert Rule.UNDER_WAY in verdict(case, going_on(0, 40), going_on(40, 60, "K", 2))
    assert Rule.UNDER_WAY in verdict(case, going_on(0, 20, "K", 2), going_on(0, 40))


def test_the_hours_since_they_began_are_one_load_s_after_another():
    """Two pieces of ten minutes from -40 on, done at -20; the other has had the twenty minutes since."""
    other = replace(on_mill(job(pieces=2, began=-40)), key="K", number="K")
    case = shop([station("M")], on_mill(job(began=-35)), other)
    assert verdict(case, going_on(0, 0, "K", 2), going_on(0, 20)) == set()
    assert Rule.UNDER_WAY in verdict(case, going_on(0, 0, "K", 2), going_on(0, 5))
    slower = replace(on_mill(job(pieces=5, began=-40)), key="K", number="K")
    case = shop([station("M")], on_mill(job(began=-35)), slower)
    assert verdict(case, going_on(0, 10, "K", 5), going_on(10, 50)) == set()
    assert Rule.UNDER_WAY in verdict(case, going_on(0, 10, "K", 5), going_on(10, 15))


def test_what_was_counted_belongs_to_its_run():
    """Bars of three, five minutes a change: four pieces take 50 min and seven 85, of which 60 are behind it."""
    step = operation("10", BarFed(3, 600_000, 300_000), open_jobs=(job(pieces=3, began=-60, counted=4),))
    case = shop([station("M")], lot("L", step))
    assert verdict(case, going_on(0, 25, pieces=3)) == set()
    assert Rule.UNDER_WAY in verdict(case, going_on(0, 0, pieces=3))


def test_a_job_that_has_less_than_nothing_counted_is_faulty():
    case = shop([station("M")], on_mill(job(counted=-1)))
    assert verdict(case, L="bad input") == set()
    assert verdict(case, going_on(0, 10)) != set()


def test_pieces_behind_a_count_go_ahead_as_the_whole_run_does_them():
    """Bars of three: piece 5 is done 60 min after the start, piece 6 at 70, and one waits for the next bar."""
    first = operation(
        "10", BarFed(3, 600_000, 300_000), open_jobs=(job(pieces=3, began=-55, counted=4),), send_ahead=1, counted=4
    )
    case = shop([station("M"), station("B", "bench")], lot("L", first, operation("20", single(1), "bench")))

    def sent(*starts):
        pieces = (4, 1, 1, 1)
        benches = (row("L", 1, "B", start, start + n, n) for start, n in zip(starts, pieces, strict=True))
        return verdict(case, going_on(0, 30, pieces=3), *benches)

    assert sent(0, 5, 15, 30) == set()
    assert Rule.PIECES in sent(0, 4, 15, 30)
    assert Rule.PIECES in sent(0, 5, 15, 29)


def test_the_jobs_of_a_shared_batch_end_together():
    def tumbled(key, began):
        taking = Batch("steel", 60 * 60_000, 20)
        return lot(key, operation("10", taking, "tumbler", open_jobs=(job("T", began=began, load="one"),)))

    case = shop([station("T", "tumbler")], tumbled("A", -30), tumbled("B", -20))
    together = [row(key, 0, "T", 0, 40, 4, load=3, under_way=True) for key in ("A", "B")]
    assert verdict(case, *together) == set()
    assert Rule.UNDER_WAY in verdict(case, together[0], replace(together[1], end=at(30)))


def test_pieces_of_a_job_under_way_are_sent_ahead_as_they_are_done():
    steps = (operation("10", single(10), open_jobs=(job(began=-15),), send_ahead=2), operation("20", single(5), "saw"))
    case = shop([station("M"), station("S", "saw")], lot("L", *steps))
    rest = going_on(0, 25)
    assert verdict(case, rest, row("L", 1, "S", 5, 15, 2), row("L", 1, "S", 25, 35, 2)) == set()
    assert Rule.PIECES in verdict(case, rest, row("L", 1, "S", 4, 14, 2), row("L", 1, "S", 25, 35, 2))
