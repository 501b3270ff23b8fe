"""What pages say while an accepted plan decides whose turn it is: that it does, since when, and of how much.

Two lots of two operations: the first operation is done at one station, the second at another.
"""

from datetime import date

import pytest

from app.lots.models import Lot
from app.lots.queries import lot_name
from app.schedule import services
from app.schedule.models import Proposal
from app.schedule.queries.whys import lot_turn_words
from tests.factories.lots import make_lot, station_of
from tests.factories.schedule import plan_now, routing_of, single


@pytest.fixture
def lots(session):
    routing = routing_of(single(6), single(6))
    return [make_lot(session, pieces=10, routing=routing, due_on=date(2026, 1, day)) for day in (12, 13)]


def accept(session, lots, now, *, places, by=None):
    """Accept a proposal that ranks the operations at some places of each lot, the last lot first."""
    operations = [lot.operations[place] for lot in reversed(lots) for place in places]
    ranks = [[each.id, rank, station_of(each).id] for rank, each in enumerate(operations)]
    zeros = dict.fromkeys(("late_seconds_before", "late_seconds_after", "late_lots_before", "late_lots_after"), 0)
    session.add(Proposal(id=1, made_at=now, change_number=1, lots=[], stations=[], ranks=ranks, **zeros))
    session.commit()
    services.accept_proposal(session, now, {row[2] for row in ranks}, by, now)


@pytest.mark.parametrize(
    ("lot", "turns", "said"),
    [
        (Lot(due_on=date(2026, 1, 12)), [(10, False), (20, False)], "Due Mon 12 Jan"),
        (Lot(due_on=date(2026, 1, 12)), [(10, True), (20, True)], "By the accepted plan"),
        (Lot(), [], "No due date"),
        (
            Lot(due_on=date(2026, 1, 12), rush=True),
            [(10, True), (20, False)],
            "By the accepted plan at operation 10, otherwise rush, due Mon 12 Jan",
        ),
        (
            Lot(),
            [(10, True), (20, True), (30, False)],
            "By the accepted plan at operations 10, 20, otherwise no due date",
        ),
        (Lot(pin=2), [(10, True)], "Pinned to place 2"),
    ],
)
def test_a_lot_s_turn_names_the_plan_where_it_decides(app, lot, turns, said):
    with app.app_context():
        assert lot_turn_words(lot, turns) == said


def test_the_lot_s_page_and_the_board_of_the_station_say_that_the_plan_decides(as_owner, session, lots, now):
    station = station_of(lots[0].operations[0])
    plan_now(session, now)
    assert "pinned by hand first, then rush" in as_owner.get(f"/floor/stations/{station.id}").text
    accept(session, lots, now, places=[0])
    page = as_owner.get(f"/schedule/lots/{lots[0].id}").text
    assert "By the accepted plan at operation 10, otherwise due Mon 12 Jan" in page
    board = as_owner.get(f"/floor/stations/{station.id}").text
    assert "pinned by hand first, then by the accepted plan" in board


def test_a_pin_that_is_taken_off_leaves_a_lot_to_what_decides_then(as_owner, session, lots, now):
    lots[1].rush = True
    accept(session, lots[:1], now, places=[0, 1])
    turns = ["by the accepted plan", "rush, due Tue 13 Jan"]
    for lot, turn in zip(lots, turns, strict=True):
        as_owner.post(f"/schedule/lots/{lot.id}/pin", data={"place": "front"})
        page = as_owner.post(f"/schedule/lots/{lot.id}/unpin", follow_redirects=True).text
        assert f"Lot {lot_name(lot)} is unpinned. What decides its turn now: {turn}." in page
