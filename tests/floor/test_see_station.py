"""What the floor's pages show, and in how many statements."""

from datetime import date, timedelta

import pytest
import sqlalchemy as sa

from app.lots.models import LotOperation
from app.lots.queries.names import lot_name, operation_code
from app.lots.services import SignOff, begin, count_so_far, hold_lot, pause, sign_off, split_lot
from app.parts.models import OperationFile, RoutingOperation, StoredFile, StoredPage
from app.schedule.models import LotForecast, Outlook, PlannedRun
from app.stations.models import Downtime
from tests.factories.lots import act, make_lot, make_routing, station_of
from tests.factories.parts import StoredFileFactory
from tests.factories.schedule import plan_now
from tests.factories.stations import StationFactory
from tests.floor.conftest import words


def statements(engine, client, url, **more):
    """Return how many statements a page takes."""
    seen = []

    def note(_connection, _cursor, statement, *_rest):
        seen.append(statement)

    sa.event.listen(engine, "before_cursor_execute", note)
    try:
        assert client.get(url, **more).status_code == 200
    finally:
        sa.event.remove(engine, "before_cursor_execute", note)
    return len(seen)


def test_without_stations_the_floor_says_what_to_do_first(client, shop):
    assert "There are no stations yet." in words(client.get("/floor").text)


def test_the_floor_tells_each_stations_state_in_words(session, client, lot, now):
    first, second, third = lot.operations
    begin(session, act(station_id=station_of(first).id), [first.id])
    other = make_lot(session)
    begin(session, act(station_id=station_of(second).id), [other.operations[0].id], setup=True, anyway=True)
    down = StationFactory(name="Press 1")
    session.add(Downtime(station_id=down.id, starts_at=now, ends_at=now + timedelta(hours=2), reason="Coolant pump"))
    session.commit()
    part = f"{lot.revision.part.number} {lot.revision.label}"
    page = words(client.get("/floor").text)
    assert f"{station_of(first).name} Running {part}, op 10" in page
    assert f"{station_of(second).name} Setting up" in page
    assert f"{station_of(third).name} Idle" in page
    assert "Press 1 Down Coolant pump" in page
    pause(session, act(station_id=station_of(first).id), first.id)
    assert f"{station_of(first).name} Paused {part}, op 10" in words(client.get("/floor").text)


def test_a_station_out_of_use_is_not_offered(session, client, lot):
    station = station_of(lot.operations[0])
    station.active = False
    session.commit()
    assert f"/floor/stations/{station.id}" not in client.get("/floor").text


def test_an_idle_station_says_to_scan_the_badge_and_names_what_is_next(client, lot):
    station = station_of(lot.operations[0])
    page = words(client.get(f"/floor/stations/{station.id}").text)
    assert "Nothing runs here Scan your badge, then the operation on the traveler." in page
    assert "Op 10 Step 1, 50 pieces wait" in page
    assert "No forecast yet: pinned by hand first, then rush, due date and release." in page


def test_the_cautions_the_weight_and_who_governs_are_shown(session, tablet, shop, begun):
    page = words(tablet.get().text)
    assert "Guards closed. Safety glasses on." in page
    assert "The machine's manual, local codes and qualified people govern." in page
    # 50 pieces of 900 g (the blank is the heavier) are 45 kg = 99.2 lb, over 23 kg = 50.7 lb; 0.45359237 kg/lb exactly
    assert (
        "Together these pieces weigh 99.2 lb, over the shop's lift limit of 50.7 lb: hoist, cart or a second person."
        in page
    )
    shop.lift_limit_grams = 45_000
    session.commit()
    page = words(tablet.get().text)
    assert "50 pieces weigh 99.2 lb." in page
    assert "over the shop's lift limit" not in page


def test_instructions_and_the_pages_of_drawings_are_shown(session, shop, tablet_at, sam, now):
    routing = make_routing(operations=1, instructions="Soft jaws 14-B.\nCheck the bore on every fifth piece.")
    operation = session.scalars(sa.select(RoutingOperation)).one()
    pages = [StoredPage(number=number, width=850, height=1100, png=b"png") for number in (1, 2)]
    file = StoredFile(
        sha256="0" * 64, name="s.pdf", media_type="application/pdf", data=b"pdf", stored_at=now, pages=pages
    )
    session.add(file)
    session.flush()
    session.add(OperationFile(routing_operation_id=operation.id, file_id=file.id, title="Set-up sheet"))
    session.commit()
    lot = make_lot(session, routing=routing)
    tablet = tablet_at(station_of(lot.operations[0]))
    tablet.sign_on(sam)
    tablet.scan(operation_code(lot.operations[0]))
    for page in (
        tablet.get(),
        tablet.get(tablet.at(lot.operations[0])),
        tablet.get(tablet.at(lot.operations[0], "/sheets")),
    ):
        assert "Check the bore on every fifth piece." in page.text
        assert f'src="/files/{file.id}/pages/2.png?v={file.sha256[:12]}"' in page.text
        assert 'alt="Set-up sheet, page 1"' in page.text


def test_a_released_lot_and_what_is_split_off_keep_the_sheets_of_its_release(session, shop, tablet_at, sam):
    routing = make_routing(operations=1)
    at = {"routing_operation_id": routing.operations[0].id}
    hanging = OperationFile(file=StoredFileFactory(), title="As released", **at)
    session.add(hanging)
    session.commit()
    lot = make_lot(session, routing=routing)
    session.delete(hanging)
    late = OperationFile(file=StoredFileFactory(), title="Added later", **at)
    session.add(late)
    session.commit()
    child = split_lot(session, act(), lot.operations[0].id, 10)
    tablet = tablet_at(station_of(lot.operations[0]))
    for each, seen, unseen in (
        (lot, "As released", "Added later"),
        (child, "As released", "Added later"),
        (make_lot(session, routing=routing), "Added later", "As released"),
    ):
        page = tablet.get(tablet.at(each.operations[0], "/sheets")).text
        assert seen in page
        assert unseen not in page


@pytest.fixture
def waiting(session, shop):
    """Return a station and four lots that wait at it, released in this order."""
    routing = make_routing(operations=1)
    lots = [
        make_lot(session, pieces=10, routing=routing, due_on=due)
        for due in (None, date(2026, 2, 6), date(2026, 1, 20), date(2026, 1, 30))
    ]
    return station_of(lots[0].operations[0]), lots


def order(client, station, lots):
    """Return the lots in the order in which the page shows them."""
    text = client.get(f"/floor/stations/{station.id}").text
    text = text[text.index('id="next"') :]
    return sorted(lots, key=lambda lot: text.index(lot_name(lot)))


def test_without_a_forecast_the_plain_rank_decides_pinned_rush_due_release(session, client, waiting):
    station, lots = waiting
    stock, late, soon, middle = lots
    assert order(client, station, lots) == [soon, middle, late, stock]
    late.rush = True
    stock.pin = 1
    session.commit()
    assert order(client, station, lots) == [stock, late, soon, middle]
    page = words(client.get(f"/floor/stations/{station.id}").text)
    assert "Pinned to place 1" in page
    assert "Rush, due Fri 6 Feb" in page


def plan(session, station, lot, start, **forecast):
    """Store what a forecast would say of a lot's first operation."""
    session.add(
        PlannedRun(
            operation_id=lot.operations[0].id,
            station_id=station.id,
            start_at=start,
            end_at=start + timedelta(hours=1),
            setup_seconds=0,
            work_seconds=3600,
            pieces=10,
            load=0,
            under_way=False,
            is_guess=False,
        )
    )
    session.add(LotForecast(lot_id=lot.id, outlook=Outlook.EXPECTED, waits=[], **forecast))
    session.commit()


def test_the_stored_forecast_decides_the_order_and_tells_start_and_slack(session, client, waiting, now):
    station, lots = waiting
    stock, late, soon, middle = lots
    plan(session, station, middle, now + timedelta(hours=1), slack_seconds=-2 * 86_400, late=True)
    plan(session, station, stock, now + timedelta(hours=3), slack_seconds=3 * 86_400)
    assert order(client, station, lots) == [middle, stock, soon, late]
    page = words(client.get(f"/floor/stations/{station.id}").text)
    assert "will be 2 d late" in page
    assert "3 d of slack" in page
    assert "expected Wed 7 Jan 10:00" in page


def test_what_is_on_hold_stands_last_and_says_why_and_cannot_be_begun(session, client, waiting):
    station, lots = waiting
    hold_lot(session, act(), lots[2].id, "drawing question")
    assert order(client, station, lots)[-1] is lots[2]
    text = client.get(f"/floor/stations/{station.id}").text
    assert "Cannot run: drawing question" in text
    assert f'value="{operation_code(lots[2].operations[0])}"' not in text
    assert f'value="{operation_code(lots[1].operations[0])}"' in text


def test_what_is_open_here_is_not_next(session, client, waiting):
    station, lots = waiting
    begin(session, act(station_id=station.id), [lots[2].operations[0].id])
    text = client.get(f"/floor/stations/{station.id}").text
    assert lot_name(lots[2]) not in text[text.index('id="next"') :]


def test_work_begun_on_another_day_says_which(session, client, waiting, now):
    station, lots = waiting
    yesterday = now - timedelta(hours=15)
    begin(session, act(station_id=station.id, happened_at=yesterday), [lots[0].operations[0].id])
    assert "Running since Tue 6 Jan 18:00" in words(client.get(f"/floor/stations/{station.id}").text)


def test_a_poll_gets_the_part_alone_and_nothing_when_nothing_is_new(session, client, waiting, clock):
    station, lots = waiting
    part = {"HX-Request-Type": "partial"}
    first = client.get(f"/floor/stations/{station.id}", headers=part)
    assert first.text.count("<div") > 0
    assert "<html" not in first.text
    assert first.text.lstrip().startswith('<div id="board"')
    again = {**part, "HX-PTag": first.headers["HX-PTag"]}
    clock.forward(minutes=5)
    second = client.get(f"/floor/stations/{station.id}", headers=again)
    assert (second.status_code, second.text) == (304, "")
    begin(session, act(station_id=station.id), [lots[2].operations[0].id])
    third = client.get(f"/floor/stations/{station.id}", headers=again)
    assert third.status_code == 200
    assert "Running since" in third.text


def test_an_order_by_an_old_forecast_is_warned_of(client, waiting, session, clock):
    station, _ = waiting
    plan_now(session, clock.now)
    assert "the planner has not answered" not in words(client.get(f"/floor/stations/{station.id}").text)
    clock.forward(minutes=30)
    page = words(client.get(f"/floor/stations/{station.id}").text)
    assert "The forecast is of Wed 7 Jan 09:00: the planner has not answered since." in page


def test_a_poll_tells_that_somebody_was_signed_off_by_idle_time(tablet, shop, clock):
    part = {"HX-Request-Type": "partial"}
    assert "Sam Okafor" in tablet.get("/people", headers=part).text
    clock.forward(minutes=shop.idle_minutes + 1)
    assert "Nobody signed on." in tablet.get("/people", headers=part).text
    assert tablet.get("/people").location == tablet.home


def test_the_stations_page_takes_the_same_statements_whatever_there_is(session, engine, tablet, lot, begun):
    url = tablet.home
    before = statements(engine, tablet.client, url)
    for _ in range(12):
        busy = make_lot(session)
        for operation in busy.operations:
            operation.work_center_id = lot.operations[0].work_center_id
        session.commit()
    station = station_of(begun)
    station.pallets = 5
    session.commit()
    for operation in session.scalars(sa.select(LotOperation).where(LotOperation.waiting > 0)).all()[:4]:
        begin(session, act(station_id=station.id, happened_at=lot.released_at), [operation.id])
        count_so_far(session, act(station_id=station.id), operation.id, 20)
    sign_off(session, act(station_id=station.id), [SignOff(begun.id, 25)])
    session.commit()
    after = statements(engine, tablet.client, url)
    assert after <= before + 1  # roles of a second person, drawings' pages: loaded only where there are any
    assert after <= 34


def test_the_list_of_stations_takes_the_same_statements_whatever_there_is(session, engine, client, lot):
    before = statements(engine, client, "/floor")
    for _ in range(5):
        busy = make_lot(session)
        begin(session, act(station_id=station_of(busy.operations[0]).id), [busy.operations[0].id])
    session.commit()
    assert statements(engine, client, "/floor") == before


def test_the_entries_page_takes_the_same_statements_whatever_there_is(session, engine, tablet, begun):
    before = statements(engine, tablet.client, f"{tablet.home}/entries")
    for pieces in range(1, 30):
        count_so_far(session, act(station_id=tablet.station_id, person_id=1), begun.id, pieces)
    session.commit()
    assert statements(engine, tablet.client, f"{tablet.home}/entries") <= before + 1
