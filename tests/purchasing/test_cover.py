"""Sharing out blanks among the lots that wait for them."""

from datetime import UTC, date, datetime
from types import SimpleNamespace

from hypothesis import given
from hypothesis import strategies as st

from app.purchasing.queries import Need, Supply, cover, lot_rank


def lot(key, **more):
    facts = {"pin": None, "rush": False, "due_on": date(2026, 2, 6), "released_at": datetime(2026, 1, 5, tzinfo=UTC)}
    return SimpleNamespace(id=key, number=key, **(facts | more))


def line(key):
    return SimpleNamespace(id=key)


def covered(needs):
    return [(need.at_hand, [(each.line.id, each.pieces) for each in need.coming], need.to_order) for need in needs]


def test_what_is_at_hand_goes_to_the_first_in_rank():
    needs = [Need(lot(1), 30), Need(lot(2), 30)]
    cover(needs, [Supply(None, 40, 0)])
    assert covered(needs) == [(30, [], 0), (10, [], 20)]


def test_the_lot_that_blanks_were_bought_for_goes_before_the_first_in_rank():
    needs = [Need(lot(1), 30), Need(lot(2), 30)]
    cover(needs, [Supply(line(7), 20, 10, {2: 30})])
    assert covered(needs) == [(0, [], 30), (20, [(7, 10)], 0)]


def test_pieces_of_a_purchase_that_are_meant_for_nobody_cover_whoever_waits():
    needs = [Need(lot(1), 30), Need(lot(2), 6)]
    cover(needs, [Supply(line(7), 0, 36, {1: 30})])
    assert covered(needs) == [(0, [(7, 30)], 0), (0, [(7, 6)], 0)]


def test_a_lot_takes_from_several_purchases_soonest_first():
    needs = [Need(lot(1), 30)]
    cover(needs, [Supply(line(7), 0, 12), Supply(line(8), 0, 12)])
    assert covered(needs) == [(0, [(7, 12), (8, 12)], 6)]


def test_what_was_bought_for_a_lot_that_no_longer_wants_it_goes_on():
    needs = [Need(lot(1), 5), Need(lot(2), 30)]
    cover(needs, [Supply(line(7), 0, 30, {1: 30})])
    assert covered(needs) == [(0, [(7, 5)], 0), (0, [(7, 25)], 5)]


def test_lots_rank_by_pin_rush_due_release_and_number():
    early = datetime(2026, 1, 1, tzinfo=UTC)
    in_order = [
        lot(1, pin=2, due_on=None),
        lot(2, pin=3, rush=True),
        lot(3, rush=True, due_on=date(2026, 9, 1)),
        lot(4, due_on=date(2026, 2, 5)),
        lot(9, released_at=early),
        lot(5),
        lot(6),
        lot(7, due_on=None),
    ]
    mixed = in_order[::-1]
    assert sorted(mixed, key=lot_rank) == in_order


WANTED = st.lists(st.integers(1, 50), min_size=1, max_size=5)
SUPPLIES = st.lists(
    st.tuples(
        st.booleans(), st.integers(0, 50), st.integers(0, 50), st.dictionaries(st.integers(0, 4), st.integers(0, 50))
    ),
    max_size=4,
)


@given(WANTED, SUPPLIES)
def test_pieces_are_neither_made_nor_lost_and_none_lies_idle_while_a_lot_waits(wanted, supplies):
    needs = [Need(lot(key), pieces) for key, pieces in enumerate(wanted)]
    made = [
        Supply(line(key) if bought else None, here, coming if bought else 0, meant)
        for key, (bought, here, coming, meant) in enumerate(supplies)
    ]
    here, coming = sum(each.at_hand for each in made), sum(each.expected for each in made)
    cover(needs, made)
    assert all(need.to_order >= 0 and need.at_hand >= 0 for need in needs)
    assert all(each.pieces > 0 for need in needs for each in need.coming)
    assert sum(need.at_hand for need in needs) + sum(each.at_hand for each in made) == here
    assert sum(need.on_order for need in needs) + sum(each.expected for each in made) == coming
    assert sum(need.to_order for need in needs) == max(0, sum(wanted) - here - coming)


@given(WANTED, st.integers(0, 50), st.dictionaries(st.integers(0, 4), st.integers(0, 50)))
def test_a_lot_gets_what_was_bought_for_it_as_far_as_it_has_come(wanted, here, meant):
    needs = [Need(lot(key), pieces) for key, pieces in enumerate(wanted)]
    cover(needs, [Supply(line(1), here, 0, meant)])
    left = here
    for need in needs:
        least = min(meant.get(need.lot.id, 0), need.wanted, left)
        left -= least
        assert need.at_hand >= least
