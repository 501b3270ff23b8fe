"""What would help a late lot, by hand; and the same shop with something different."""

from dataclasses import replace
from datetime import date

import pytest

from app.core.calendar_hours import Downtime
from app.core.calendars import WorkCalendar
from app.core.planning import variations
from app.core.planning.forecasts import forecast
from app.core.planning.helping import Help, Step, applied, steps
from app.core.planning.ranked import late_together, weighted_lateness
from app.core.planning.remedies import board_remedies, remedies
from app.core.shop import Arrival, Crew, Purchase
from app.core.worktime import Span
from tests.core.shops import DAY, HOUR, MONDAY, at, calendar, lot, minutes, operation, shop, single, station

WEEK = calendar(("06:00", "14:00"))
NIGHT = calendar(("22:00", "06:00"))
EIGHT = at(360)


def ten_hours(key="L", due=None, **more):
    """Ten pieces of an hour, begun on Monday at 6:00: done on Tuesday at 8:00."""
    return lot(key, operation("10", single(60), waiting=10, **more), due=at(20 * 60) if due is None else due)


def helps(found):
    return {remedy.step.help for remedy in found}


def test_overtime_on_a_named_day_splitting_and_another_station_save_hours_and_the_most_comes_first():
    stations = [station("mill 1", calendar=WEEK), station("mill 2", calendar=WEEK)]
    before = shop(stations, ten_hours(), now=EIGHT)
    assert minutes(forecast(before).lots["L"].finish) == 32 * 60
    found = remedies(before, "L")
    best = found[0]
    # Split over two stations five hours are enough; overtime after 14:00 ends it at 16:00. Both are in time.
    assert {remedy.step.help for remedy in found if remedy.saved_s == 12 * HOUR} == {Help.SPLIT, Help.OVERTIME}
    assert best.saved_s == 12 * HOUR
    assert [remedy.saved_s for remedy in found] == sorted((remedy.saved_s for remedy in found), reverse=True)
    overtime = next(remedy for remedy in found if remedy.step.help is Help.OVERTIME)
    assert (overtime.step.station, minutes(overtime.step.start), minutes(overtime.finish)) == (
        "mill 1",
        14 * 60,
        16 * 60,
    )
    assert minutes(next(remedy.finish for remedy in found if remedy.step.help is Help.SPLIT)) == 11 * 60
    assert Help.ELSEWHERE not in helps(found)  # the other station is no quicker


def test_the_front_says_what_it_costs_others():
    before = shop(
        [station("mill", calendar=WEEK)], ten_hours("first", due=at(33 * 60)), ten_hours(due=at(34 * 60)), now=EIGHT
    )
    front = next(remedy for remedy in remedies(before, "L") if remedy.step.help is Help.FRONT)
    # Alone L is done on Tuesday at 8:00; it was on Wednesday at 10:00, due on Tuesday at 10:00. The other then ends so.
    assert (front.saved_s, front.others_s) == (24 * HOUR, 25 * HOUR)
    assert [(move.lot, move.gain_s) for move in front.losers] == [("first", -25 * HOUR)]
    assert front.total_s == -HOUR


def test_sending_ahead_and_sooner_blanks_help_where_they_can():
    blanks = operation("5", Purchase((Arrival(at(10 * 24 * 60), 8),)), "", waiting=8)
    steps = operation("10", single(60)), operation("20", single(60), "lathe")
    before = shop([station("mill"), station("lathe", "lathe")], lot("L", blanks, *steps, due=at(24 * 60)))
    found = {remedy.step.help: remedy for remedy in remedies(before, "L")}
    assert found[Help.AHEAD].saved_s == 6 * HOUR  # in transfers of two the lathe begins six hours sooner
    assert found[Help.BLANKS].saved_s == 3 * DAY


def waits(key, order):
    buy = operation("5", Purchase((Arrival(at(12 * 60) + 8 * DAY, 8, order=order),)), "", waiting=8)
    return lot(key, buy, operation("10", single(60)), due=at(0))


def test_blanks_come_sooner_for_all_that_wait_for_the_same_purchase_and_on_days_that_carriers_drive():
    lots = waits("L", "one"), waits("with it", "one"), waits("other", "two"), waits("not ordered", "")
    before = shop([station("mill")], *lots)
    days = {key: [each.time for each in blanks] for key, blanks in arrivals_of(before, "L").items()}
    # Tuesday in a week, less three days, is a Saturday: the Monday after it.
    monday, tuesday = at(12 * 60) + 7 * DAY, at(12 * 60) + 8 * DAY
    assert days == {"L": [monday], "with it": [monday], "other": [tuesday], "not ordered": [tuesday]}
    closed = variations.with_day_closed(before, date(2026, 1, 12))
    assert variations.sooner(closed, tuesday, 3) == tuesday
    assert variations.sooner(before, at(12 * 60), 3) == at(12 * 60)  # today already: nothing sooner can be asked for


def test_for_the_whole_board_a_purchase_is_tried_once_for_all_its_lots():
    lots = waits("L", "one"), waits("with it", "one"), waits("not ordered", ""), waits("neither", "")
    before = shop([station("mill")], *lots)
    found = [remedy.step.lot for remedy in board_remedies(before) if remedy.step.help is Help.BLANKS]
    assert sorted(found) == ["neither", "not ordered", "with it"]  # named by the latest of its lots


def arrivals_of(before, key):
    after = variations.with_blanks_sooner(before, key, 3)
    return {each.key: variations.blanks_of(after, each.key) for each in after.lots}


def test_nothing_is_offered_after_which_another_lot_in_time_cannot_be_planned_any_more():
    """The only one who sets up could tend as well: L then begins at once, and nobody ever sets up for B."""
    lots = [
        lot("A", operation("10", single(300), waiting=1, tend_permille=1000), due=at(7 * 60)),
        lot("L", operation("10", single(60), "lathe", waiting=1, tend_permille=1000), due=at(8 * 60)),
        lot("B", operation("10", single(60), "saw", waiting=1, setup=60, tend_permille=0)),
    ]
    stations = [station(key, key, calendar=WEEK) for key in ("mill", "lathe", "saw")]
    before = replace(shop(stations, *lots, now=EIGHT), people=(Crew(WEEK, 1, 1, "Day"),))
    planned = forecast(before).lots
    assert (minutes(planned["L"].finish), minutes(planned["B"].finish)) == (12 * 60, 8 * 60)
    after = forecast(applied(before, Step(Help.PERSON, crew="Day", setters=-1))).lots
    assert (minutes(after["L"].finish), after["B"].finish) == (7 * 60, None)
    assert Help.FRONT in helps(remedies(before, "L"))
    assert Help.PERSON not in helps(remedies(before, "L"))


def test_a_person_who_sets_up_instead_of_tending_helps_where_set_up_waits():
    lots = [
        lot(key, operation("10", single(60), center, waiting=1, setup=120), due=at(9 * 60))
        for key, center in (("A", "mill"), ("L", "lathe"))
    ]
    stations = [station("mill", calendar=WEEK), station("lathe", "lathe", calendar=WEEK)]
    before = replace(shop(stations, *lots, now=EIGHT), people=(Crew(WEEK, 1, 3, "Day"), Crew(NIGHT, 1, 1, "Night")))
    found = {remedy.step: remedy.saved_s for remedy in remedies(before, "L") if remedy.step.help is Help.PERSON}
    assert found == {
        Step(Help.PERSON, crew="Day", setters=1): 2 * HOUR,
        Step(Help.PERSON, crew="Day", source="Night", setters=1): 2 * HOUR,
    }


@pytest.mark.parametrize(
    ("step", "day", "night"),
    [
        (Step(Help.PERSON, crew="Day", setters=1), (2, 2), (1, 1)),
        (Step(Help.PERSON, crew="Day", setters=-1), (0, 4), (1, 1)),
        (Step(Help.PERSON, crew="Day", source="Night", setters=1), (2, 3), (0, 1)),
        (Step(Help.PERSON, crew="Night", source="Day", setters=-1), (1, 2), (1, 2)),
    ],
)
def test_a_person_moves_to_other_work_or_to_another_shift_and_nobody_is_lost(step, day, night):
    before = replace(shop([station("mill")]), people=(Crew(WEEK, 1, 3, "Day"), Crew(NIGHT, 1, 1, "Night")))
    assert [(crew.setters, crew.tenders) for crew in applied(before, step).people] == [day, night]


def test_the_whole_board_counts_what_all_gain_and_what_some_lose():
    lots = [
        lot("long", operation("10", single(60), waiting=6), due=at(8 * 60)),
        lot("short", operation("10", single(60), waiting=2), due=at(9 * 60), weight=3),
        lot("last", operation("10", single(60), waiting=2), due=at(14 * 60)),
    ]
    before = shop([station("mill", calendar=WEEK)], *lots, now=EIGHT)
    # From 6:00: long until 12:00 (4 h late), short until 14:00 (5 h), last on Tuesday at 8:00 (18 h).
    found = {(remedy.step.help, remedy.step.lot): remedy for remedy in board_remedies(before)}
    best = board_remedies(before)[0]
    assert (best.step.help, best.saved_s, best.others_s) == (Help.OVERTIME, 16 * HOUR, 0)  # last ends at 16:00
    front = found[Help.FRONT, "short"]  # until 8:00, in time; long then until 14:00
    assert (front.saved_s, front.others_s, front.total_s) == (3 * HOUR, 2 * HOUR, 13 * HOUR)
    assert [[move.lot for move in moves] for moves in (front.winners, front.losers)] == [["short"], ["long"]]
    assert (Help.FRONT, "last") not in found  # the others would lose more than it gains
    assert all(applied(before, remedy.step) != before for remedy in found.values())


def test_with_nothing_late_the_board_needs_nothing():
    assert board_remedies(shop([station("mill")], ten_hours(due=at(11 * 60)))) == []


def test_what_does_not_help_is_not_told():
    before = shop([station("mill")], ten_hours(due=at(60)))
    assert remedies(before, "L") == []


@pytest.mark.parametrize("hour", [6, 9])
def test_overtime_on_a_day_off_is_tried_from_when_other_days_begin(hour):
    friday = MONDAY + 4 * DAY + hour * HOUR
    before = shop(
        [station("mill", calendar=WEEK)],
        lot("L", operation("10", single(60), waiting=14), due=MONDAY + 6 * DAY),
        now=friday,
    )
    days = {minutes(remedy.step.start) for remedy in remedies(before, "L") if remedy.step.help is Help.OVERTIME}
    assert (5 * 24 + 6) * 60 in days  # Saturday from 6:00


def test_no_overtime_is_tried_at_a_station_while_it_is_down():
    down = Downtime(MONDAY, MONDAY + 2 * DAY + HOUR)
    broken = WorkCalendar(replace(WEEK.hours, downtimes=(down,)))
    before = shop(
        [station("mill", calendar=broken)],
        lot("L", operation("10", single(60), waiting=40), due=MONDAY + 3 * DAY),
        now=EIGHT,
    )
    tried = steps(before, forecast(before).lots["L"], before.lots[0])
    starts = [minutes(step.start) for step in tried if step.help is Help.OVERTIME]
    # After Wednesday and Thursday, which it works again, and on Saturday.
    assert starts == [(2 * 24 + 14) * 60, (3 * 24 + 14) * 60, (5 * 24 + 6) * 60]


@pytest.mark.parametrize(
    ("change", "finish"),
    [
        (lambda one: variations.with_downtime(one, "mill", at(600)), 32 * 60 + 4 * 60),
        (lambda one: variations.with_day_closed(one, date(2026, 1, 6)), 56 * 60),
        (lambda one: variations.with_overtime(one, "mill", Span(at(14 * 60), at(15 * 60))), 31 * 60),
        (lambda one: variations.with_people(one, 0, -1), 32 * 60),
    ],
)
def test_the_same_shop_with_something_different(change, finish):
    before = shop([station("mill", calendar=WEEK)], ten_hours(), now=EIGHT)
    assert minutes(forecast(change(before)).lots["L"].finish) == finish


def test_lots_are_late_together_one_customer_s_like_another_s():
    two = [replace(ten_hours(), key=key, due=at(480), weight=weight) for key, weight in (("A", 1), ("B", 5))]
    board = shop([station("mill", calendar=WEEK)], *two, now=EIGHT)
    plan = forecast(board)
    assert late_together(board, plan) == sum(plan.lots[key].finish - at(480) for key in "AB")
    assert weighted_lateness(board, plan) > late_together(board, plan)


def test_a_closed_day_sends_people_and_receiving_home_and_a_person_less_is_one_less():
    crewed = replace(
        shop([station("mill", calendar=WEEK)], ten_hours(), now=EIGHT, receiving=WEEK),
        people=(Crew(WEEK, 2, 1, "Day"), Crew(WEEK, 1, 0, "Late")),
    )
    closed = variations.with_day_closed(crewed, date(2026, 1, 6))
    tuesday = MONDAY + DAY + 7 * HOUR
    assert not any(each.is_open(tuesday) for each in (closed.receiving, closed.people[0].calendar))
    longer = variations.with_overtime(crewed, "mill", Span(at(14 * 60), at(15 * 60)))
    fewer = [(crew.setters, crew.tenders) for crew in variations.with_people(longer, -1, 0).people]
    assert fewer == [(1, 1), (0, 0), (1, 1)]  # a shift of one as well; who comes for overtime is nobody's to send home
    assert applied(crewed, remedies(crewed, "L")[0].step) != crewed
