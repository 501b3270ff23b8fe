"""Why batches wait: for people, or for a lot that is expected within their bound and fits; anything else is refused."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.core.plan_check import Rule, check
from app.core.shop import Batch, Crew, NotBefore
from tests.core.plan_check.plans import forecast_plan, hand_plan, row, verdict
from tests.core.planning.generated import shops
from tests.core.shops import at, calendar, lot, operation, round_the_clock, shop, single, station


def tumble(wait=0, pieces=10, recipe="steel"):
    return Batch(recipe, 3_600_000, pieces, wait_s=wait * 60)


def tumbled(key, taking, waiting=4, **more):
    return lot(key, operation("10", taking, "tumbler", waiting=waiting, **more))


TUMBLER, SAW, MILL = station("T", "tumbler"), station("S", "saw"), station("M", "mill")


def sawn(key, taking, minutes=30, pieces=4):
    """A lot that is sawn before it is tumbled."""
    saw = operation("10", single(minutes / pieces), "saw", waiting=pieces)
    return lot(key, saw, operation("20", taking, "tumbler"))


def two(wait, a_pieces=4, **more):
    """A waits for the tumbler, and B comes when it is sawn."""
    return shop([TUMBLER, SAW], tumbled("A", tumble(wait, **more), a_pieces), sawn("B", tumble(wait, **more)))


def together(start, a_pieces=4, saw=0):
    """A and B in one load, B sawn for half an hour from ``saw`` on."""
    return [
        row("A", 0, "T", start, start + 60, a_pieces, load=7),
        row("B", 1, "T", start, start + 60, 4, load=7),
        row("B", 0, "S", saw, saw + 30, 4),
    ]


def one_after_the_other(start):
    """A alone, then B."""
    return [
        row("A", 0, "T", start, start + 60, 4),
        row("B", 0, "S", 0, 30, 4),
        row("B", 1, "T", start + 60, start + 120, 4),
    ]


def told(case, *rows):
    """Return the only thing that is said of a plan by hand."""
    (violation,) = check(case, hand_plan(case, *rows))
    assert violation.rule is Rule.BATCH_WAIT
    return str(violation)


def test_it_waits_for_what_is_expected_within_its_bound_and_fits():
    assert verdict(two(wait=30), *together(30)) == set()


def test_it_does_not_wait_longer_than_its_bound():
    assert f"waits for lot B until {at(30)}, though no longer than until {at(29)}" in told(two(wait=29), *together(30))


def test_it_does_not_wait_for_what_nobody_expects_yet():
    case = two(wait=60)
    case = replace(case, lots=(*case.lots, lot("C", operation("10", single(10), "saw", waiting=1))))
    rows = [*together(40, saw=10), row("C", 0, "S", 0, 10)]
    assert f"could begin at {at(0)} and waits for lot B, which is not expected before {at(10)}" in told(case, *rows)


def test_it_does_not_wait_when_it_is_full_or_what_comes_does_not_fit():
    rows = one_after_the_other(30)
    assert "waits for lot B, though it is full" in told(two(wait=30, pieces=4), *rows)
    assert "waits for lot B, though that does not fit with what waits" in told(two(wait=30, pieces=7), *rows)


def test_the_share_of_a_split_lot_whose_other_pieces_never_come_is_that_of_those_that_do():
    """Eight of sixteen pieces wait for bolts: halves are of four, beside which four of B fit into a load of eight."""
    waits = operation("10", single(1), "mill", waiting=8, not_before=NotBefore(None, "bolts"))
    halves = operation("20", tumble(30, pieces=8), "tumbler", waiting=8, split=2)
    case = shop([TUMBLER, SAW, MILL], lot("A", waits, halves), sawn("B", tumble(30, pieces=8)))
    rows = [row("A", 1, "T", 30, 90, 4, load=7), row("B", 1, "T", 30, 90, 4, load=7)]
    rows += [row("A", 1, "T", 90, 150, 4), row("B", 0, "S", 0, 30, 4)]
    assert verdict(case, *rows, A="no components") == set()
    assert check(case, forecast_plan(case)) == ()


def test_what_fills_it_together_leaves_no_room_for_what_comes():
    """A (4) and C (4) wait: with both in it B (4) does not fit, and neither waits alone."""
    case = two(wait=30)
    case = replace(case, lots=(*case.lots, tumbled("C", tumble(30))))
    pair = [row("A", 0, "T", 30, 90, 4, load=7), row("C", 0, "T", 30, 90, 4, load=7)]
    rest = [row("B", 0, "S", 0, 30, 4), row("B", 1, "T", 90, 150, 4)]
    assert "though that does not fit with what waits" in {
        str(one).split(", ")[-1].split(" (")[0] for one in check(case, hand_plan(case, *pair, *rest))
    }


def test_whichever_of_many_alike_are_in_it_there_is_no_room_for_what_comes():
    """Nineteen of 4 wait where 26 go in: six fill it, and then B (3) does not fit."""
    taking = tumble(30, pieces=26)
    case = shop([TUMBLER, SAW], *(tumbled(f"A{n}", taking) for n in range(19)), sawn("B", taking, pieces=3))
    loads = [(f"A{n}", n // 6) for n in range(19)]
    rows = [row(key, 0, "T", 30 + 60 * load, 90 + 60 * load, 4, load=7 + load) for key, load in loads]
    rest = [row("B", 0, "S", 0, 30, 3), row("B", 1, "T", 210, 270, 3, load=10)]
    assert "does not fit with what waits" in told(case, *rows, *rest)


def test_it_does_not_begin_late_for_nothing():
    case = shop([TUMBLER], tumbled("A", tumble(60)))
    assert f"could begin at {at(0)} and waits for nothing that comes" in told(case, row("A", 0, "T", 15, 75, 4))


def test_what_has_come_is_not_waited_for():
    assert "waits for nothing that comes" in told(two(wait=40), *together(35))


def test_another_station_that_is_free_takes_it():
    case = shop([TUMBLER, station("T2", "tumbler")], tumbled("A", tumble(60)), tumbled("C", tumble(0, recipe="brass")))
    rows = [row("C", 0, "T", 0, 60, 4), row("A", 0, "T", 60, 120, 4)]
    assert f"could begin at {at(0)} at T2" in told(case, *rows)


def with_one_person(case):
    """One person, whom the mill holds for the first 20 minutes."""
    busy = lot("X", operation("10", single(20), "mill", waiting=1, tend_permille=1000), due=at(1))
    lots = tuple(
        replace(
            each,
            operations=tuple(
                replace(one, tend_permille=1000) if one.work_center == "tumbler" else one for one in each.operations
            ),
        )
        for each in case.lots
    )
    people = (Crew(round_the_clock(), 0, 1),)
    return replace(case, stations=(*case.stations, MILL), lots=(busy, *lots), people=people)


BUSY = row("X", 0, "M", 0, 20)


def test_it_waits_for_a_person_and_no_longer():
    case = with_one_person(shop([TUMBLER], tumbled("A", tumble(0))))
    assert verdict(case, BUSY, row("A", 0, "T", 20, 80, 4)) == set()
    assert f"could begin at {at(20)} and waits for nothing" in told(case, BUSY, row("A", 0, "T", 21, 81, 4))


@pytest.mark.parametrize(("wait", "rules"), [(30, set()), (29, {Rule.BATCH_WAIT})])
def test_when_the_person_comes_it_waits_for_others_only_within_its_bound(wait, rules):
    assert verdict(with_one_person(two(wait)), BUSY, *together(30)) == rules


def test_what_waits_and_fits_goes_in():
    case = shop([TUMBLER], tumbled("A", tumble()), tumbled("B", tumble()))
    assert verdict(case, row("A", 0, "T", 0, 60, 4, load=7), row("B", 0, "T", 0, 60, 4, load=7)) == set()
    apart = [row("A", 0, "T", 0, 60, 4), row("B", 0, "T", 60, 120, 4)]
    assert verdict(case, *apart) == {Rule.BATCH_ROOM}
    larger = shop([TUMBLER], tumbled("A", tumble()), tumbled("B", tumble(), 7))
    assert verdict(larger, row("A", 0, "T", 0, 60, 4), row("B", 0, "T", 60, 120, 7)) == set()
    other = shop([TUMBLER], tumbled("A", tumble()), tumbled("B", tumble(recipe="brass")))
    assert verdict(other, *apart) == set()
    later = shop([TUMBLER], tumbled("A", tumble()), replace(tumbled("B", tumble()), released=at(1)))
    assert verdict(later, *apart) == set()


def test_what_is_larger_than_a_load_leaves_no_room_that_others_would_fill():
    """Of 24 pieces 10, 10 and 4 go in; with the last 4 go the 4 of B, and before that they do not fit."""
    case = shop([TUMBLER], tumbled("A", tumble(), 24), tumbled("B", tumble()))
    full = [row("A", 0, "T", 0, 60, 10), row("A", 0, "T", 60, 120, 10)]
    last = [row("A", 0, "T", 120, 180, 4, load=7), row("B", 0, "T", 120, 180, 4, load=7)]
    assert verdict(case, *full, *last) == set()
    assert verdict(case, *full, row("A", 0, "T", 120, 180, 4), row("B", 0, "T", 180, 240, 4)) == {Rule.BATCH_ROOM}


def test_it_waits_for_the_shift_that_can_set_up():
    days, evenings = calendar(("06:00", "14:00"), days=range(7)), calendar(("14:00", "22:00"), days=range(7))
    case = shop([TUMBLER], tumbled("A", tumble(0), setup=10), now=at(600))
    case = replace(case, people=(Crew(days, 0, 2), Crew(evenings, 1, 2)))
    assert verdict(case, row("A", 0, "T", 840, 910, 4, setup=10)) == set()
    assert f"could begin at {at(840)}" in told(case, row("A", 0, "T", 850, 920, 4, setup=10))


def test_pieces_sent_ahead_are_ready_when_they_fill_a_load():
    """Sawn one every 5 minutes: 10 of 12 are there after 50, and the last two at 60."""
    saw = operation("10", single(5), "saw", waiting=12, send_ahead=1)
    case = shop([TUMBLER, SAW], lot("A", saw, operation("20", tumble(), "tumbler")))
    done = row("A", 0, "S", 0, 60, 12)
    assert verdict(case, done, row("A", 1, "T", 50, 110, 10), row("A", 1, "T", 110, 170, 2)) == set()
    rows = [row("A", 1, "T", 60, 120, 10), row("A", 1, "T", 120, 180, 2)]
    assert f"could begin at {at(50)}" in told(case, done, *rows)


def test_a_component_is_expected_when_the_last_run_of_its_lot_has_begun():
    """A waits for B, whose component C is milled from 0 to 30: expected from 0 on."""
    part = lot("C", operation("10", single(30), waiting=1))
    whole = tumbled("B", tumble(30), components=("C",))
    case = shop([TUMBLER, MILL], tumbled("A", tumble(30)), whole, part)
    pair = [row("A", 0, "T", 30, 90, 4, load=7), row("B", 0, "T", 30, 90, 4, load=7)]
    assert verdict(case, *pair, row("C", 0, "M", 0, 30)) == set()
    assert "not expected before" in str(
        check(
            case, hand_plan(case, *(replace(one, start=at(31), end=at(91)) for one in pair), row("C", 0, "M", 1, 31))
        )[0]
    )


@st.composite
def shops_that_wait(draw):
    """Return a shop whose batches may wait, with so few people that these limit the work."""
    found = draw(shops())
    bound, share = st.sampled_from([0, 1_800, 7_200, 86_400]), st.sampled_from([0, 250, 1000])

    def changed(one):
        taking = replace(one.taking, wait_s=draw(bound)) if isinstance(one.taking, Batch) else one.taking
        return replace(one, taking=taking, tend_permille=draw(share))

    lots = [replace(each, operations=tuple(map(changed, each.operations))) for each in found.lots]
    crews = st.builds(Crew, st.sampled_from([each.calendar for each in found.stations]), st.just(1), st.integers(1, 2))
    return replace(found, lots=tuple(lots), people=draw(st.none() | st.lists(crews, min_size=1, max_size=2).map(tuple)))


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(shops_that_wait())
def test_the_batches_of_any_forecast_wait_as_they_may(given_shop):
    assert check(given_shop, forecast_plan(given_shop)) == ()
