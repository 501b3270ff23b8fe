"""The chance of being late: learned from the books, simulated by the planner, told on the pages.

It is Wednesday 7 January 2026, 9:00 in Chicago; stations are open from 6:00 to 18:00.
"""

import re
from datetime import date, time, timedelta

import pytest

from app.core.shop import OverClosed
from app.lots import services as ledger
from app.parts.models import Routing, Taking
from app.schedule import queries
from app.schedule.models import ChanceRun, LotChance
from app.schedule.planner import Planner
from app.stations.models import Crew
from tests.factories.lots import act, make_lot, station_of
from tests.factories.schedule import plan_now, routing_of, single


def simulate_now(session, now, replications=40):
    planner = Planner(session.get_bind(), holder="chances", clock=lambda: now)
    planner.wake()
    planner.chancing.tend(planner.replayer, replications)
    planner.chancing.wait()
    planner.chancing.tend(planner.replayer)
    planner.leave()
    session.rollback()


def test_a_lot_with_time_to_spare_is_almost_surely_on_time_and_a_long_one_is_not(as_owner, session, now):
    easy = make_lot(session, pieces=10, routing=routing_of(single(6)), due_on=date(2026, 1, 12))
    hard = make_lot(session, pieces=10, routing=routing_of(single(600)), due_on=date(2026, 1, 8))
    simulate_now(session, now)
    chances = {each: session.get_one(LotChance, each.id) for each in (easy, hard)}
    assert (chances[easy].late_permille, chances[easy].words) == (0, "almost surely on time")
    assert (chances[hard].late_permille, chances[hard].words) == (1000, "almost surely late")
    assert chances[easy].median_at <= chances[easy].likely_at <= chances[easy].sure_at
    assert chances[easy].error_permille > 0  # forty replications do not prove that it never is
    assert session.get_one(ChanceRun, 1).replications == 40
    assert re.search(r"almost surely late \(100 % ± \d+ % chance of being late\)", as_owner.get("/schedule/lots").text)
    assert "95 percent sure by" in as_owner.get(f"/schedule/lots/{easy.id}").text
    assert "almost surely on time" in as_owner.get(f"/schedule/lots/{easy.id}/outlook").text
    assert "almost surely late, 95 percent sure by" in as_owner.get("/review").text


def test_pages_say_how_old_the_chances_are_and_that_the_shop_has_changed_since(as_owner, session, clock):
    lot = make_lot(session, pieces=10, routing=routing_of(single(6)), due_on=date(2026, 1, 12))
    plan_now(session, clock.now)
    pages = ["/schedule/lots", f"/schedule/lots/{lot.id}"]
    assert all("Chances of" not in as_owner.get(page).text for page in pages)
    simulate_now(session, clock.now)
    clock.forward(minutes=12)
    assert all("Chances of 09:00, 12\u00a0min ago." in as_owner.get(page).text for page in pages)
    assert "chances of Wed 7 Jan 09:00" in as_owner.get("/review").text
    ledger.hold_lot(session, act(), lot.id, "drawing is unclear")
    plan_now(session, clock.now)  # the forecast is of now, the chances are those of before
    assert all("12\u00a0min ago, before the last changes" in as_owner.get(page).text for page in pages)
    clock.forward(days=1)
    assert all("Chances of Wed 7 Jan 09:00, 1\u00a0d ago" in as_owner.get(page).text for page in pages)


def test_without_a_due_date_there_is_no_chance_of_being_late(session, now):
    lot = make_lot(session, pieces=10, routing=routing_of(single(6)))
    simulate_now(session, now)
    chance = session.get_one(LotChance, lot.id)
    assert (chance.late_permille, chance.words) == (None, "")
    assert chance.median_at is not None


def test_a_lot_more_likely_late_than_not_is_one_to_watch(as_owner, session, now):
    lot = make_lot(session, pieces=10, routing=routing_of(single(6)), due_on=date(2026, 1, 20))
    plan_now(session, now)
    assert queries.watched(session, now) == ([], [], [], [])
    assert "state--good" in as_owner.get(f"/schedule/lots/{lot.id}").text
    session.add(LotChance(lot_id=lot.id, late_permille=501, error_permille=20))
    session.commit()
    assert "state--good" not in as_owner.get(f"/schedule/lots/{lot.id}").text
    assert [each.lot_id for each in queries.watched(session, now).tight] == [lot.id]


@pytest.fixture
def begun(session, now):
    """A lot of ten pieces of six minutes that was begun yesterday at 9:00."""
    routing, yesterday = routing_of(single(6)), now - timedelta(days=1)
    lot = make_lot(session, pieces=10, routing=routing, when=yesterday)
    ledger.begin(session, at(lot, yesterday), [lot.operations[0].id])
    return lot


def at(lot, when, **more):
    return act(station_id=station_of(lot.operations[0]).id, happened_at=when, recorded_at=when, **more)


def sign_off_after(session, lot, minutes, now, **more):
    done = [ledger.SignOff(lot.operations[0].id, good=10)]
    ledger.sign_off(session, at(lot, now - timedelta(days=1) + timedelta(minutes=minutes), **more), done)
    session.rollback()


def test_times_are_learned_in_open_hours_from_what_was_signed_off(session, now, begun):
    """From 9:00 yesterday to 6:30 today are nine hours and a half of open time: 9.5 times the hour that was planned."""
    sign_off_after(session, begun, 21 * 60 + 30, now)
    make_lot(session, pieces=10, routing=session.get_one(Routing, begun.routing_id))
    snapshot = queries.read_snapshot(session, now)
    history = queries.read_history(session, snapshot)
    assert (history.work, history.done, history.released) == ([9.5], 10, 2)
    uncertain = queries.uncertainty_of(snapshot, history)
    usual = (5 + 9.5) / 6  # one observation beside five of the stated spread
    assert uncertain.usual.work.mean == pytest.approx(usual, abs=0.01)
    (odds,) = uncertain.operations.values()
    assert odds.work.mean == pytest.approx((5 * usual + 9.5) / 6, abs=0.01)
    assert odds.setup.mean == pytest.approx(1, abs=0.01)
    assert len(odds.work.factors) > 1


def test_each_batch_of_a_lot_is_compared_with_a_batch(session, now):
    """Three batches of 40 minutes, planned as half an hour each: four thirds, and not four times what one takes."""
    routing = routing_of({"taking": Taking.BATCH, "cycle_ms": 1_800_000, "load_pieces": 10, "setup_seconds": 0})
    begin = now - timedelta(days=1)
    lot = make_lot(session, pieces=25, routing=routing, when=begin)
    for pieces in (10, 10, 5):
        ledger.begin(session, at(lot, begin), [lot.operations[0].id])
        begin += timedelta(minutes=40)
        ledger.sign_off(session, at(lot, begin), [ledger.SignOff(lot.operations[0].id, good=pieces)])
    make_lot(session, pieces=25, routing=routing)
    assert queries.read_history(session, queries.read_snapshot(session, now)).work == [pytest.approx(4 / 3)]


def test_what_takes_less_than_a_minute_teaches_nothing(session, now):
    """Its button is pressed whenever somebody comes by: two minutes for ten seconds say nothing about the work."""
    routing = routing_of(single(1 / 6))
    lot = make_lot(session, pieces=1, routing=routing, when=now - timedelta(days=1))
    ledger.begin(session, at(lot, now - timedelta(days=1)), [lot.operations[0].id])
    done = [ledger.SignOff(lot.operations[0].id, good=1)]
    ledger.sign_off(session, at(lot, now - timedelta(days=1) + timedelta(minutes=2)), done)
    make_lot(session, pieces=1, routing=routing)
    history = queries.read_history(session, queries.read_snapshot(session, now))
    assert (history.work, history.done) == ([], 1)


def test_work_is_learned_in_the_hours_in_which_it_goes_on(session, now, begun):
    """Of the nine hours and a half nobody but mornings from 6:00 to 10:00 is there for eight; alone it runs for two."""
    station = station_of(begun.operations[0])
    station.over_closed, station.unattended_minutes = OverClosed.UNATTENDED, 120
    session.commit()
    sign_off_after(session, begun, 21 * 60 + 30, now)
    assert queries.read_history(session, queries.read_snapshot(session, now)).work == [11.5]
    session.add(Crew(name="Mornings", weekdays=[0, 1, 2, 3, 4], starts=time(6), ends=time(10), setters=1, tenders=1))
    session.commit()
    assert queries.read_history(session, queries.read_snapshot(session, now)).work == [3.5]


def test_an_estimated_time_teaches_nothing(session, now, begun):
    sign_off_after(session, begun, 90, now, is_estimate=True)
    history = queries.read_history(session, queries.read_snapshot(session, now))
    assert (history.work, history.done) == ([], 0)
