"""What pages say while an accepted plan decides whose turn it is: that it does, since when, and of how much.

Two lots of two operations: the first operation is done at one station, the second at another.
"""

from datetime import date

import pytest
import sqlalchemy as sa

from app.core.planning.results import Forecast, Run
from app.lots.models import Lot
from app.lots.queries import lot_name
from app.lots.services import SignOff, begin, sign_off
from app.schedule import queries, services
from app.schedule.models import OperationRank, Proposal
from app.schedule.queries.better_order import changed_stations
from app.schedule.queries.whys import lot_turn_words
from tests.factories.lots import act, make_lot, station_of
from tests.factories.people import PersonFactory
from tests.factories.schedule import plan_now, routing_of, single
from tests.statements import counted


@pytest.fixture
def lots(session):
    routing = routing_of(single(6), single(6))
    return [make_lot(session, pieces=10, routing=routing, due_on=date(2026, 1, day)) for day in (12, 13)]


def propose(session, lots, now):
    """Propose to run the last lot first at both stations."""
    operations = [operation for lot in reversed(lots) for operation in lot.operations]
    ranks = [[each.id, rank, station_of(each).id] for rank, each in enumerate(operations)]
    stations = [{"station_id": station_id, "name": "", "before": [], "after": []} for *_, station_id in ranks[:2]]
    zeros = dict.fromkeys(("late_seconds_before", "late_seconds_after", "late_lots_before", "late_lots_after"), 0)
    session.add(Proposal(id=1, made_at=now, change_number=1, lots=[], stations=stations, ranks=ranks, **zeros))
    session.commit()


def accept(session, lots, now, *, places, by=None):
    """Accept a proposal at the stations of some operations."""
    propose(session, lots, now)
    services.accept_proposal(session, now, {station_of(lots[0].operations[place]).id for place in places}, by, now)


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
    begin(session, act(station_id=station.id), [lots[0].operations[0].id])
    assert "Due Mon 12 Jan" in as_owner.get(f"/schedule/lots/{lots[0].id}").text  # the turn at the first has come
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


def finish(session, lots, *, place):
    for lot in lots:
        operation = lot.operations[place]
        sign_off(session, act(station_id=station_of(operation).id), [SignOff(operation.id, 10)])


def in_force(session):
    """Return who accepted each plan in force, at which stations, and how many operations go by it."""
    session.rollback()
    found = queries.order_page(session).in_force
    return [(each.accepted.accepted_by.name, each.stations, each.operations) for each in found]


def test_each_plan_that_is_in_force_is_told_with_its_age_its_stations_and_its_operations(
    as_owner, session, engine, lots, clock
):
    first, second = (station_of(each).name for each in lots[0].operations)
    ann, bob = PersonFactory(name="Ann"), PersonFactory(name="Bob")
    accept(session, lots, clock.now, places=[0, 1], by=ann.id)
    clock.forward(hours=2)
    accept(session, lots, clock.now, places=[0], by=bob.id)
    clock.forward(hours=1)
    plan_now(session, clock.now)
    assert in_force(session) == [("Bob", [first], 2), ("Ann", [second], 2)]
    with counted(engine) as statements:
        page = as_owner.get("/schedule/order").text
    assert f"A plan that Ann accepted Wed 7 Jan 09:00, 3\u00a0h ago, at {second}." in page
    assert f"A plan that Bob accepted Wed 7 Jan 11:00, 1\u00a0h ago, at {first}." in page
    assert "since. Stations go by plans accepted Wed 7 Jan 09:00 to Wed 7 Jan 11:00." in page
    assert sum("operation_rank" in each for each in statements) == 2
    finish(session, lots, place=0)
    assert in_force(session) == [("Ann", [second], 2)]
    assert "Stations go by the plan accepted Wed 7 Jan 09:00." in as_owner.get("/schedule/order").text


def test_a_plan_that_is_worked_off_is_in_force_no_more(as_owner, session, lots, now):
    accept(session, lots, now, places=[0, 1], by=PersonFactory(name="Ann").id)
    plan_now(session, now)
    finish(session, lots, place=0)
    finish(session, lots[:1], place=1)
    assert [each[2] for each in in_force(session)] == [1]
    finish(session, lots[1:], place=1)
    assert in_force(session) == []
    page = as_owner.get("/schedule/order").text
    assert ("No plan: pinned lots go first" in page, "Let due dates decide again" in page) == (True, False)
    assert "Stations go by" not in page


def forecast(**stations):
    """Return a forecast in which stations run some lots one after the other."""
    runs = {
        name: tuple(Run(f"L{lot}", "10", name, 0, 1, 0, 1, 1, 0, 0, 0) for lot in lots)
        for name, lots in stations.items()
    }
    return Forecast(0, {}, runs)


def test_a_station_is_changed_wherever_its_order_differs_and_what_differs_is_shown():
    front, last = list(range(10)), list(range(20))
    before = forecast(mill=last, saw=front, lathe=front, drill=[1])
    after = forecast(mill=[*range(10), 11, 10, *range(12, 20)], saw=[1, 0, *range(2, 10)], lathe=front, drill=[])
    mill, saw, drill = changed_stations({"mill": 1, "saw": 2, "lathe": 3, "drill": 4}, before, after)
    assert (mill["station_id"], mill["left_out"], mill["before"][:2]) == (1, 10, ["L10/10", "L11/10"])
    assert (mill["after"][:2], len(mill["after"])) == (["L11/10", "L10/10"], 8)
    assert (saw["left_out"], saw["before"][:2], len(saw["before"])) == (0, ["L0/10", "L1/10"], 8)
    assert (drill["left_out"], drill["before"], drill["after"]) == (0, ["L1/10"], [])


@pytest.mark.parametrize(
    ("ticked", "elsewhere", "operations"),
    [
        ([0, 1], True, 6),  # all that changes is everything, also where the order stays
        ([0], True, 2),
        ([0, 1], False, 4),
    ],
)
def test_all_that_is_ticked_is_all(session, lots, now, ticked, elsewhere, operations):
    propose(session, lots, now)
    extra = make_lot(session, routing=routing_of(single(6), single(6)))
    if elsewhere:  # ranks at stations whose order stays
        proposal = session.scalars(sa.select(Proposal)).one()
        proposal.ranks = [*proposal.ranks, *([each.id, 9, station_of(each).id] for each in extra.operations)]
        session.commit()
    services.accept_proposal(session, now, {station_of(lots[0].operations[place]).id for place in ticked}, None, now)
    session.rollback()
    assert len(session.scalars(sa.select(OperationRank)).all()) == operations


def test_the_page_offers_each_station_and_says_whose_gains_are_shown(as_owner, session, lots, now):
    propose(session, lots, now)
    proposal = session.scalars(sa.select(Proposal)).one()
    idle = {"station_id": 999, "name": "Drill", "left_out": 9, "before": ["L1/10"], "after": []}
    proposal.stations = [*proposal.stations, idle]
    session.commit()
    page = as_owner.get("/schedule/order").text
    assert page.count('name="stations"') == 2  # what a station loses is accepted where it goes to
    assert "after 9 runs that stay: L1/10" in page
    assert "At some stations only, they gain and lose otherwise." in page
