"""One person, many machines: what runs where, and what wants hands next, and when."""

from datetime import timedelta

import pytest
import sqlalchemy as sa

from app.core.shop import OverClosed
from app.lots.queries.names import lot_name
from app.lots.services import begin, count_so_far, hand_over, pause, run
from app.parts.models import Taking
from app.stations.models import Downtime
from tests.factories.lots import act, make_lot, make_routing, station_of
from tests.factories.schedule import plan_now
from tests.floor.conftest import words


@pytest.fixture
def work(session, shop, sam, now):
    """Return a function that begins a lot of 50 pieces at a station of its own as Sam, an hour of work by default."""

    def make(*, setup=False, **plan):
        lot = make_lot(session, routing=make_routing(operations=2, **{"cycle_ms": 72_000, **plan}))
        operation = lot.operations[0]
        begin(session, act(station_id=station_of(operation).id, person_id=sam.id), [operation.id], setup=setup)
        session.commit()
        return operation

    return make


@pytest.fixture
def page(session, client, sam):
    def read() -> str:
        session.rollback()
        answer = client.get(f"/floor/people/{sam.id}")
        assert answer.status_code == 200
        return words(answer.text)

    return read


def name(operation) -> str:
    return station_of(operation).name


def test_the_end_of_a_run_is_reckoned_from_cycle_time_counts_and_now(session, page, work, sam, clock):
    operation = work()
    about = f"{operation.lot.revision.part.number} op 10, {lot_name(operation.lot)}"
    assert f"10:00 {name(operation)} Run done, 50 pieces {about}" in page()
    clock.forward(minutes=30)
    here = station_of(operation).id
    count_so_far(session, act(station_id=here, happened_at=clock.now, recorded_at=clock.now), operation.id, 20)
    assert f"10:06 {name(operation)} Run done, 30 pieces {about}" in page()  # 30 pieces of 72 s from 9:30 on
    assert "30 pieces left" in page()
    clock.forward(hours=1)
    assert f"now {name(operation)} Run done" in page()
    count_so_far(session, act(station_id=here, happened_at=clock.now, recorded_at=clock.now), operation.id, 50)
    assert f"now {name(operation)} All pieces are counted: sign off" in page()


def test_the_soonest_comes_first_and_what_waits_before_all(page, work, clock):
    slow, quick, first_piece = work(cycle_ms=144_000), work(cycle_ms=36_000), work(first_piece=True)
    shown = page()
    order = [
        shown.index(f"now {name(first_piece)} First piece to check"),
        shown.index(f"09:30 {name(quick)} Run done"),
        shown.index(f"10:00 {name(first_piece)} Run done"),
        shown.index(f"11:00 {name(slow)} Run done"),
    ]
    assert order == sorted(order)


def test_loads_bars_and_batches_call_by_their_own_names(page, work):
    load = work(taking=Taking.LOAD, load_pieces=10, cycle_ms=540_000, load_ms=60_000)
    bar = work(taking=Taking.BAR, load_pieces=25, cycle_ms=60_000, load_ms=300_000)
    batch = work(taking=Taking.BATCH, load_pieces=100, cycle_ms=5_400_000, recipe="bowl")
    shown = page()
    assert f"09:10 {name(load)} Change the load" in shown
    assert f"09:30 {name(bar)} Next bar" in shown
    assert f"10:30 {name(batch)} Batch done" in shown


def test_loads_are_changed_at_the_pace_of_the_station_and_a_count_loads_nothing_anew(session, page, work, clock):
    """Cut in 20 minutes instead of ten: out at 28, 49 and 70; the second is cut when the first is counted."""
    plan = {"cycle_ms": 600_000, "load_ms": 240_000, "unload_ms": 120_000, "load_pieces": 20}
    operation = work(taking=Taking.LOAD, **plan)
    here = station_of(operation)
    here.pallets, here.pallet_change_seconds, here.pace = 2, 60, 50
    session.commit()
    shown = page()
    assert f"09:28 {here.name} Change the load" in shown
    assert f"10:10 {here.name} Run done, 50 pieces" in shown
    clock.forward(minutes=33)
    count_so_far(session, act(station_id=here.id, happened_at=clock.now, recorded_at=clock.now), operation.id, 20)
    shown = page()
    assert f"09:54 {here.name} Change the load" in shown
    assert f"10:15 {here.name} Run done, 30 pieces" in shown


def test_what_is_on_the_other_pallet_goes_on_when_the_run_before_it_should_end(session, page, work, sam, clock):
    """An hour each: the second is done two hours after the first was begun, whenever that is asked."""
    first = work()
    station_of(first).pallets = 2
    second = make_lot(session, routing=make_routing(operations=1, cycle_ms=72_000)).operations[0]
    second.work_center_id = first.work_center_id
    session.commit()
    here = station_of(first)
    begin(session, act(station_id=here.id, person_id=sam.id), [second.id])
    session.commit()
    for minutes in (0, 40):
        clock.forward(minutes=minutes)
        shown = page()
        assert f"10:00 {here.name} Run done, 50 pieces {first.lot.revision.part.number} op 10" in shown
        assert f"11:00 {here.name} Run done, 50 pieces {second.lot.revision.part.number} op 10" in shown
    clock.forward(minutes=50)
    assert f"11:00 {here.name} Run done, 50 pieces {second.lot.revision.part.number} op 10" in page()


def test_set_up_and_paused_jobs_say_so(session, page, work):
    being_set_up, paused = work(setup=True, setup_seconds=1800), work()
    pause(session, act(station_id=station_of(paused).id), paused.id)
    shown = page()
    assert f"09:30 {name(being_set_up)} Set-up should be done" in shown
    assert f"10:30 {name(being_set_up)} Run done" in shown
    assert f"now {name(paused)} Paused: run it again" in shown


def test_what_is_handed_over_goes_with_the_one_who_took_it(session, client, page, work, person):
    operation, kim = work(), person("operator", name="Kim Vale")
    hand_over(session, act(station_id=station_of(operation).id, person_id=kim.id), operation.id)
    assert "Nothing wants your hands" in page()
    assert f"{name(operation)} Run done" in words(client.get(f"/floor/people/{kim.id}").text)


def test_a_station_that_is_down_asks_when_its_guess_has_passed(session, page, work, clock):
    operation = work()
    until = clock.now + timedelta(hours=1)
    here = station_of(operation).id
    session.add(Downtime(station_id=here, starts_at=clock.now, ends_at=until, end_is_guess=True, reason="coolant pump"))
    session.commit()
    assert f"10:00 {name(operation)} Back from being down coolant pump" in page()
    assert "Run done" not in page()
    clock.forward(hours=2)
    assert f"now {name(operation)} Down: does it run? coolant pump" in page()


def test_what_is_set_up_next_comes_when_the_run_before_it_should_end(session, page, work, tablet_at, sam, clock, lot):
    operation = work()
    following = make_lot(session, routing=make_routing(operations=1, setup_seconds=1800))
    following.operations[0].work_center_id = operation.work_center_id
    session.commit()
    plan_now(session, clock.now)
    assert f"10:00 {name(operation)} Set up next {following.revision.part.number} op 10" in page()


def test_a_station_that_is_only_signed_on_at_shows_what_it_begins(session, page, tablet, lot, clock):
    plan_now(session, clock.now)
    shown = page()
    assert f"now {station_of(lot.operations[0]).name}" in shown
    assert "signed on, nothing of yours is open" in shown
    clock.forward(hours=9)  # longer than the shop's idle time
    assert "Signed on nowhere." in page()


def test_a_badge_opens_its_wearers_page_and_changes_nothing(session, client, sam, shop):
    assert client.get(f"/c/{sam.badge_code}").location == f"/floor/people/{sam.id}"
    assert client.get(f"/floor/find?code={sam.badge_code}").location == f"/c/{sam.badge_code}"
    sam.active = False
    session.commit()
    assert "belongs to nobody" in client.get(f"/c/{sam.badge_code}").text
    assert client.get("/floor/people/999").status_code == 404


def test_the_station_page_leads_to_all_my_machines(tablet, sam):
    assert f'href="/floor/people/{sam.id}"' in tablet.get().text


def test_a_poll_gets_the_part_alone_and_nothing_where_nothing_is_new(client, work, sam, session):
    operation = work()
    partial = {"HX-Request-Type": "partial"}
    first = client.get(f"/floor/people/{sam.id}", headers=partial)
    assert "<html" not in first.text
    tag = {"HX-PTag": first.headers["HX-PTag"]}
    assert client.get(f"/floor/people/{sam.id}", headers={**partial, **tag}).status_code == 304
    pause(session, act(station_id=station_of(operation).id), operation.id)
    assert client.get(f"/floor/people/{sam.id}", headers={**partial, **tag}).status_code == 200


def test_it_takes_the_same_statements_however_many_machines(session, engine, page, work):
    def count() -> int:
        seen = []

        def note(_connection, _cursor, statement, *_rest):
            seen.append(statement)

        sa.event.listen(engine, "before_cursor_execute", note)
        page()
        sa.event.remove(engine, "before_cursor_execute", note)
        return len(seen)

    paused = work()
    before = count()
    for _ in range(4):
        work()
    pause(session, act(station_id=station_of(paused).id), paused.id)
    run(session, act(station_id=station_of(paused).id), paused.id)
    assert count() <= before


def test_a_run_that_goes_on_alone_is_done_as_the_plan_has_it(session, page, work, clock):
    """Fifty pieces of 15 min from 9:00: nine hours until closing at 18:00, two alone, the rest from 6:00."""
    operation = work(cycle_ms=900_000)
    here = station_of(operation)
    here.over_closed, here.unattended_minutes = OverClosed.UNATTENDED, 120
    session.commit()
    assert f"07:30 Thu 8 Jan {name(operation)} Run done" in page()
    clock.forward(hours=21, minutes=30)
    assert f"07:30 {name(operation)} Run done" in page()
