"""Pieces: there when they are taken up, all of them done, sent ahead, split, held; blanks, outside work, components."""

from dataclasses import replace

import pytest

from app.core.plan_check import Rule, check
from app.core.shop import Arrival, LeadTime, NotBefore, OpenJob, Purchase
from app.core.worktime import Span
from tests.core.plan_check.plans import forecast_plan, row, verdict
from tests.core.shops import at, calendar, lot, operation, shop, single, station

SAW, MILL = station("S", "saw"), station("M", "mill")


def sawn_and_milled(saw=10, mill=20, pieces=4, **more):
    """Four pieces, sawn in ten minutes each and milled in twenty."""
    return lot("L", operation("10", single(saw), "saw", waiting=pieces, **more), operation("20", single(mill), "mill"))


def two_steps(**more):
    return shop([SAW, MILL], sawn_and_milled(**more))


SAWN = row("L", 0, "S", 0, 40, 4)


# Order, counts.


def test_an_operation_begins_when_the_one_before_is_done():
    assert verdict(two_steps(), SAWN, row("L", 1, "M", 40, 120, 4)) == set()
    assert verdict(two_steps(), SAWN, row("L", 1, "M", 39, 119, 4)) == {Rule.PIECES}


def test_operations_are_done_in_order():
    milled_first = [row("L", 1, "M", 0, 80, 4), row("L", 0, "S", 80, 120, 4)]
    assert Rule.PIECES in verdict(two_steps(), *milled_first)


def test_no_piece_is_left_out_or_made_up():
    milled = row("L", 1, "M", 40, 120, 4)
    assert Rule.COUNT in verdict(two_steps(), SAWN)
    assert Rule.COUNT in verdict(two_steps(), SAWN, replace(milled, pieces=3, end=at(100)))
    assert Rule.COUNT in verdict(two_steps(), SAWN, milled, row("L", 1, "M", 120, 140))
    assert Rule.COUNT in verdict(two_steps(), SAWN, SAWN, milled)
    assert Rule.COUNT in verdict(two_steps(), SAWN, replace(milled, pieces=0))


def test_pieces_counted_and_waiting_further_on_are_reckoned_with():
    steps = (
        operation("10", single(10), "saw", waiting=2, counted=1),
        operation("20", single(20), "mill", waiting=3),
    )
    case = shop([SAW, MILL], lot("L", *steps))
    early, late = row("L", 1, "M", 0, 60, 3), row("L", 1, "M", 60, 120, 3)
    assert verdict(case, row("L", 0, "S", 0, 20, 2), early, late) == set()
    assert verdict(case, row("L", 0, "S", 0, 20, 2), row("L", 1, "M", 0, 120, 6)) == set()  # there after 20 of 60 min
    assert Rule.PIECES in verdict(case, row("L", 0, "S", 45, 65, 2), early, late)
    assert Rule.COUNT in verdict(case, row("L", 0, "S", 0, 20, 2), early)


def test_a_lot_with_nothing_left_is_done_now():
    assert verdict(shop([SAW], lot("L", operation("10", single(10), "saw", counted=5)))) == set()
    assert verdict(shop([SAW], lot("L"))) == set()


# Sending ahead.


def test_pieces_sent_ahead_are_worked_on_as_they_come():
    case = two_steps(send_ahead=2)
    assert verdict(case, SAWN, row("L", 1, "M", 20, 100, 4)) == set()
    assert verdict(case, SAWN, row("L", 1, "M", 19, 99, 4)) == {Rule.PIECES}


def test_a_faster_operation_is_not_begun_so_early_that_it_runs_dry():
    case = two_steps(saw=20, mill=10, send_ahead=1)
    sawn = row("L", 0, "S", 0, 80, 4)
    assert verdict(case, sawn, row("L", 1, "M", 50, 90, 4)) == set()  # the last piece comes at 80
    assert verdict(case, sawn, row("L", 1, "M", 49, 89, 4)) == {Rule.PIECES}
    assert Rule.PIECES in verdict(case, sawn, row("L", 1, "M", 20, 60, 4))


def test_set_up_may_be_done_before_the_first_piece_comes():
    case = shop(
        [SAW, MILL],
        lot("L", operation("10", single(10), "saw", waiting=4), operation("20", single(20), "mill", setup=30)),
    )
    assert verdict(case, SAWN, row("L", 1, "M", 10, 120, 4, setup=30)) == set()
    assert verdict(case, SAWN, row("L", 1, "M", 9, 119, 4, setup=30)) == {Rule.PIECES}


def test_a_transfer_that_is_not_full_goes_with_the_last_piece():
    case = two_steps(send_ahead=3, mill=40)
    assert verdict(case, SAWN, row("L", 1, "M", 30, 190, 4)) == set()
    assert verdict(case, SAWN, row("L", 1, "M", 29, 189, 4)) == {Rule.PIECES}


def test_transfers_leave_in_open_hours():
    hours = calendar(("08:00", "16:00"))
    case = shop([station("S", "saw", calendar=hours), MILL], sawn_and_milled(saw=60, send_ahead=2))
    sawn = row("L", 0, "S", 14 * 60, 34 * 60, 4)  # two pieces by closing, two the next morning
    closing, noon = 16 * 60, 34 * 60
    last_two = row("L", 1, "M", noon, noon + 40, 2)
    assert verdict(case, sawn, row("L", 1, "M", closing, closing + 40, 2), last_two) == set()
    assert verdict(case, sawn, row("L", 1, "M", closing - 1, closing + 39, 2), last_two) == {Rule.PIECES}
    assert verdict(case, sawn, row("L", 1, "M", noon - 40, noon + 40, 4)) == set()
    assert verdict(case, sawn, row("L", 1, "M", noon - 41, noon + 39, 4)) == {Rule.PIECES}


# Splits.


def test_a_split_operation_is_done_in_runs_of_a_part_each():
    mills = [station("M1"), station("M2")]
    case = shop(mills, lot("L", operation("10", single(20), waiting=5, split=2)))
    assert verdict(case, row("L", 0, "M1", 0, 60, 3), row("L", 0, "M2", 0, 40, 2)) == set()
    assert verdict(case, row("L", 0, "M1", 0, 80, 4), row("L", 0, "M2", 0, 20, 1)) == {Rule.SPLIT}
    assert verdict(case, row("L", 0, "M1", 0, 100, 5)) == {Rule.SPLIT}


def test_pieces_of_a_split_operation_go_on_when_the_last_run_ends():
    stations = [station("M1"), station("M2"), SAW]
    steps = (operation("10", single(20), waiting=4, split=2), operation("20", single(5), "saw"))
    case = shop(stations, lot("L", *steps))
    halves = [row("L", 0, "M1", 0, 40, 2), row("L", 0, "M2", 30, 70, 2)]
    assert verdict(case, *halves, row("L", 1, "S", 70, 90, 4)) == set()
    assert verdict(case, *halves, row("L", 1, "S", 40, 50, 2), row("L", 1, "S", 70, 80, 2)) == {Rule.PIECES}


# Holds.


def test_what_is_on_hold_is_left_out():
    on_hold = shop([SAW, MILL], replace(sawn_and_milled(), hold="customer asked"))
    assert verdict(on_hold, L="held") == set()
    assert Rule.HOLD in verdict(on_hold, SAWN, L="held")
    assert Rule.STATUS in verdict(on_hold)


def test_held_pieces_stay_and_the_others_go_on():
    case = two_steps(held=2)
    assert verdict(case, SAWN, row("L", 1, "M", 40, 120, 4), L="held") == set()
    assert Rule.STATUS in verdict(case, SAWN, row("L", 1, "M", 40, 120, 4))
    assert Rule.HOLD in verdict(case, row("L", 0, "S", 0, 60, 6), row("L", 1, "M", 60, 180, 6), L="held")
    assert Rule.COUNT in verdict(case, L="held")


# Blanks, work done elsewhere, components.


def bought(*arrivals, waiting=4):
    buy = operation("5", Purchase(tuple(Arrival(at(time), pieces) for time, pieces in arrivals)), "", waiting=waiting)
    return shop([SAW], lot("L", buy, operation("10", single(10), "saw")))


def test_blanks_come_when_they_are_expected():
    case = bought((60, 4))
    assert verdict(case, row("L", 0, None, 0, 60, 4), row("L", 1, "S", 60, 100, 4)) == set()
    assert Rule.BLANKS in verdict(case, row("L", 0, None, 0, 59, 4), row("L", 1, "S", 60, 100, 4))
    assert Rule.BLANKS in verdict(case, row("L", 0, None, 0, 70, 4), row("L", 1, "S", 70, 110, 4))
    assert verdict(case, row("L", 0, None, 0, 60, 4), row("L", 1, "S", 59, 99, 4)) == {Rule.PIECES}


def test_each_delivery_goes_on_by_itself():
    case = bought((90, 3), (60, 2))
    came = [row("L", 0, None, 0, 60, 2), row("L", 0, None, 0, 90, 2)]
    assert verdict(case, *came, row("L", 1, "S", 60, 80, 2), row("L", 1, "S", 90, 110, 2)) == set()
    assert verdict(case, *came, row("L", 1, "S", 70, 110, 4)) == set()  # the third is taken up at 90
    assert verdict(case, *came, row("L", 1, "S", 69, 109, 4)) == {Rule.PIECES}


def test_blanks_that_nobody_ordered_do_not_come():
    case = bought((60, 3))
    came, sawn = row("L", 0, None, 0, 60, 3), row("L", 1, "S", 60, 90, 3)
    assert verdict(case, came, sawn, L="no blanks") == set()
    assert Rule.STATUS in verdict(case, came, sawn)
    assert Rule.COUNT in verdict(case, replace(came, pieces=4), replace(sawn, pieces=4, end=at(100)), L="no blanks")


@pytest.mark.parametrize(("working_days", "back"), [(False, 7), (True, 9)])
def test_work_done_elsewhere_is_back_after_its_days_in_open_hours(working_days, back):
    """Sent on Monday at ten. Seven days later is Monday at ten; seven working days later the Wednesday after."""
    elsewhere = operation("10", LeadTime(7, working_days), "", waiting=4)
    case = shop([], lot("L", elsewhere), now=at(600), receiving=calendar(("08:00", "16:00")))
    day = 24 * 60
    assert verdict(case, row("L", 0, None, 600, back * day + 600, 4)) == set()
    for wrong in (back * day + 599, back * day + 601, (back - 1) * day + 600):
        assert verdict(case, row("L", 0, None, 600, wrong, 4)) == {Rule.OUTSIDE}


def test_what_goes_out_is_there_first_and_no_flag_or_set_up_makes_it_something_else():
    made, sent = operation("10", single(15), waiting=4), operation("20", LeadTime(1), "")
    case, day = shop([station("S")], lot("L", made, sent)), 24 * 60
    first = row("L", 0, "S", 0, 60, 4)
    assert verdict(case, first, row("L", 1, None, 60, day + 60, 4)) == set()
    assert verdict(case, first, row("L", 1, None, 0, day, 4)) == {Rule.PIECES}
    assert Rule.UNDER_WAY in verdict(case, first, row("L", 1, None, 0, day, 4, under_way=True))
    assert Rule.SETUP in verdict(case, first, row("L", 1, None, 60, day + 60, 4, setup=1))


def test_what_comes_back_while_the_door_is_closed_is_taken_in_when_it_opens():
    case = shop([], lot("L", operation("10", LeadTime(1), "", waiting=4)), receiving=calendar(("08:00", "16:00")))
    assert verdict(case, row("L", 0, None, 0, 24 * 60 + 480, 4)) == set()
    assert verdict(case, row("L", 0, None, 0, 24 * 60, 4)) == {Rule.OUTSIDE}


def test_pieces_sent_out_before_are_back_after_what_is_left_or_when_the_door_opens():
    sent = OpenJob("vendor", 4, at(-24 * 60))
    for days, back in ((3, 2 * 24 * 60), (0, 480)):
        outside = operation("10", LeadTime(days), "", open_jobs=(sent,))
        case = shop([], lot("L", outside), receiving=calendar(("00:00", "00:00"), days=[1, 2, 3], zone="UTC"))
        case = case if days else replace(case, receiving=calendar(("08:00", "16:00")))
        assert verdict(case, row("L", 0, None, 0, back, 4)) == set()
        assert Rule.OUTSIDE in verdict(case, row("L", 0, None, 0, back - 60, 4))


def test_what_is_overdue_never_comes_back_through_a_door_that_opens_no_more():
    before = calendar(overtime=(Span(at(-48 * 60), at(-24 * 60)),))
    sent = operation("10", LeadTime(1), "", open_jobs=(OpenJob("vendor", 4, at(-47 * 60)),))
    case = shop([], lot("L", sent), receiving=before)
    assert check(case, forecast_plan(case)) == ()
    assert verdict(case, L="no open hours") == set()
    assert Rule.OUTSIDE in verdict(case, row("L", 0, None, 0, 0, 4), L="no open hours")


def test_what_was_sent_out_comes_back_also_where_the_rest_waits_in_vain():
    outside = operation("10", LeadTime(3), "", waiting=2, open_jobs=(OpenJob("vendor", 4, at(-24 * 60)),))
    case = shop([], lot("L", replace(outside, not_before=NotBefore(None, "papers"))))
    assert verdict(case, row("L", 0, None, 0, 2 * 24 * 60, 4), L="no components") == set()
    assert Rule.OUTSIDE in verdict(case, L="no components")


def test_nothing_begins_without_what_it_waits_for():
    case = two_steps(not_before=NotBefore(at(30), "bracket"))
    assert verdict(case, row("L", 0, "S", 30, 70, 4), row("L", 1, "M", 70, 150, 4)) == set()
    assert verdict(case, row("L", 0, "S", 29, 69, 4), row("L", 1, "M", 69, 149, 4)) == {Rule.COMPONENT}


def test_what_nobody_expects_keeps_all_that_is_not_begun_from_beginning():
    case = two_steps(not_before=NotBefore(None, "bracket"), open_jobs=(OpenJob("S", 1, at(-10)),))
    begun = row("L", 0, "S", 0, 0, 1, under_way=True)
    assert verdict(case, begun, L="no components") == set()
    assert Rule.COMPONENT in verdict(case, begun, row("L", 0, "S", 0, 40, 4), L="no components")
    assert Rule.UNDER_WAY in verdict(case, L="no components")
    assert Rule.STATUS in verdict(case, begun)


def test_nothing_begins_before_the_lot_that_goes_into_it_is_finished():
    inner = lot("K", operation("10", single(10), "saw", waiting=3))
    outer = lot("L", operation("10", single(20), "mill", waiting=1, components=("K", "not in this shop")))
    case = shop([SAW, MILL], inner, outer)
    assert verdict(case, row("K", 0, "S", 0, 30, 3), row("L", 0, "M", 30, 50)) == set()
    assert verdict(case, row("K", 0, "S", 0, 30, 3), row("L", 0, "M", 29, 49)) == {Rule.COMPONENT}


def test_a_lot_whose_component_is_never_finished_waits_for_it():
    inner = lot("K", operation("10", single(10), "saw", waiting=3), hold="no drawing")
    outer = lot("L", operation("10", single(20), "mill", waiting=1, components=("K",)))
    case = shop([SAW, MILL], inner, outer)
    assert verdict(case, K="held", L="no components") == set()
    assert {Rule.COMPONENT, Rule.STATUS} <= verdict(case, row("L", 0, "M", 0, 20), K="held")


def test_counted_pieces_go_on_where_nothing_more_ever_comes_whatever_is_missing():
    bolt = NotBefore(None, "bolt")
    steps = (operation("10", single(1), waiting=2), operation("20", single(1), "saw", counted=2, not_before=bolt))
    case = shop([station("M"), station("S", "saw")], lot("L", *steps, operation("30", LeadTime(0), "")))
    assert len(forecast_plan(case).operations) == 1  # the two pieces come, so that the counted ones wait for a bolt
    nobody = replace(case, people=())
    found = forecast_plan(nobody)
    assert [(run.index, run.pieces) for run in found.operations] == [(2, 2)]
    assert check(nobody, found) == ()
