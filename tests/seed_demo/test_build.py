"""The demo: half a year lived through the program's own services, with believable content on every screen."""

import re
import subprocess
import sys
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
import sqlalchemy as sa
from sqlalchemy import orm

from app import create_app
from app.config import Config, sqlite_url
from app.core.shop import OverClosed
from app.floor.models import HandOverSeen, Note
from app.floor.queries import forgotten
from app.lots.models import ComponentUse, Entry, Job, Lot, LotOperation, Posting, Sending, StationHours, Verb
from app.lots.queries.verify import differences
from app.lots.queries.verify_hours import hour_differences
from app.material.services import recount_issued
from app.orders.models import Agreed, Agreement, OrderLine
from app.parts.models import Characteristic, Part
from app.people.models import Person, Role
from app.quality.models import Gauge, Nonconformance, Reading
from app.quality.models import Outcome as Disposed
from app.quality.queries import Chosen, charted_readings, drift_of_last_lot
from app.safekeeping.models import Health
from app.safekeeping.queries import standing
from app.schedule.models import Forecast, LotForecast, Outlook
from app.schedule.queries import services_due
from app.shared.database import make_engine
from app.shipping.models import GoodsReturn, Outcome
from app.shipping.queries.verify import differences as shipment_differences
from app.stations.models import Crew, Downtime, Saying, Station, StationChange
from seed_demo.build import build, how_to_sign_in
from seed_demo.shop import TIME_ZONE
from tests.demo_shop import NAME, build_once
from tests.demo_shop import PRESENT as NOW

pytestmark = pytest.mark.xdist_group("demo")  # one worker builds it

DETAIL = re.compile(r"<int:(\w+)>")


@pytest.fixture(scope="module")
def demo(tmp_path_factory) -> Config:
    folder = tmp_path_factory.mktemp("demo")
    config = Config(sqlite_url(folder / NAME), folder, "for tests", testing=True)
    build_once(config, folder)
    return config


@pytest.fixture(scope="module")
def shop(demo):
    engine = make_engine(demo.database_url)
    with orm.Session(engine) as session:
        yield session
    engine.dispose()


def count(session: orm.Session, what, *where) -> int:
    return session.scalars(sa.select(sa.func.count()).select_from(what).where(*where)).one()


def test_the_shop_has_the_size_of_a_small_one(shop):
    assert (count(shop, Station), count(shop, Person), count(shop, Part)) == (12, 5, 42)
    assert 40 <= count(shop, Lot, Lot.closed_at.is_(None)) <= 65
    assert count(shop, Lot, Lot.closed_at.is_not(None)) > 120


def test_every_count_agrees_with_the_ledger(shop):
    assert list(differences(shop)) == []
    assert recount_issued(shop) == []


def test_its_shifts_name_their_people_who_limit_the_plan_and_two_stations_run_alone(shop):
    assert [crew.setters for crew in shop.scalars(sa.select(Crew))] == [1, 1]
    assert count(shop, Station, Station.over_closed == OverClosed.UNATTENDED) == 2
    causes = {wait["cause"] for forecast in shop.scalars(sa.select(LotForecast)) for wait in forecast.waits}
    assert "no person" in causes
    assert 2 <= count(shop, LotForecast, LotForecast.late) <= 6


def test_some_lots_are_late_for_different_reasons(shop):
    causes = set()
    for forecast in shop.scalars(sa.select(LotForecast).where(LotForecast.late)):
        longest = max(forecast.waits, key=lambda wait: wait["seconds"], default=None)
        causes.add(forecast.outlook.value if longest is None else longest["cause"])
        if forecast.bare_finish_at and forecast.due_at and forecast.bare_finish_at > forecast.due_at:
            causes.add("longer than the time left")
    assert len(causes) >= 3, causes
    assert count(shop, LotForecast, sa.not_(LotForecast.late)) > count(shop, LotForecast, LotForecast.late)


def test_the_forecast_is_stored_and_of_the_last_state(shop):
    assert shop.scalars(sa.select(Forecast.computed_at)).one() == NOW


@pytest.mark.parametrize(
    "verb",
    [
        *(Verb.REWORK, Verb.HOLD, Verb.SPLIT, Verb.RECORD_LATE, Verb.USE_COMPONENT, Verb.SHIP, Verb.ISSUE_BLANKS),
        *(Verb.RECOUNT, Verb.MEAN_FOR, Verb.CHANGE_LOT),
    ],
)
def test_its_past_has_one_of_each(shop, verb):
    assert count(shop, Posting, Posting.verb == verb) > 0


def test_components_come_from_its_own_lots_and_from_what_was_bought(shop):
    assert count(shop, ComponentUse, ComponentUse.source_lot_id.is_not(None)) > 0
    assert count(shop, ComponentUse, ComponentUse.receipt_id.is_not(None)) > 0


def test_its_lots_are_released_in_office_hours(shop):
    hours = {each.astimezone(ZoneInfo(TIME_ZONE)).hour for each in shop.scalars(sa.select(Lot.released_at))}
    assert hours <= set(range(5, 20))


def test_two_jobs_are_on_one_pallet_of_a_mill(shop):
    jobs = shop.scalars(sa.select(Job).where(Job.batch_id.is_not(None))).all()
    milled = [each for each in jobs if each.operation.kind.name == "Milling"]
    assert len({each.operation.lot.revision_id for each in milled}) == 2
    assert len({each.batch_id for each in milled}) == 1


def test_its_present_has_a_hold_a_machine_down_open_jobs_and_a_batch(shop):
    assert count(shop, Lot, Lot.hold_reason != "") >= 1
    assert count(shop, LotForecast, LotForecast.outlook == Outlook.HELD) >= 1
    assert count(shop, Downtime, Downtime.ends_at > NOW, Downtime.end_is_guess) == 1
    assert count(shop, Job) >= 5
    batches = shop.execute(
        sa.select(Job.batch_id, sa.func.count()).where(Job.batch_id.is_not(None)).group_by(Job.batch_id)
    )
    assert any(lots > 1 for _, lots in batches)


def test_a_sign_off_was_forgotten(shop):
    assert "Mill 1, two pallets" in {each.job.station.name for each in forgotten(shop, NOW) if each.job}


def test_a_traveler_was_entered_from_paper(shop):
    entered = Posting.reason == "entered from paper"
    assert count(shop, Posting, entered, Posting.happened_at < Posting.recorded_at) > 0


def test_paper_files_and_a_backup_lie_beside_it_and_the_review_shows_their_age(demo, shop):
    found = standing(shop, NOW)
    assert [row.health(NOW) for row in (found.paper, found.backup)] == [Health.FINE, Health.FINE]
    assert [Path(row.done_path).is_file() for row in (found.paper, found.backup)] == [True, True]


def test_the_floor_says_more_than_its_pieces(shop):
    said = set(shop.scalars(sa.select(StationChange.what)))
    assert said == {Saying.DOWN, Saying.GUESS, Saying.SERVICED}
    assert count(shop, Sending, Sending.station_id.is_not(None)) == 1
    assert count(shop, Note, Note.shift_at.is_not(None)) == count(shop, HandOverSeen) == 1
    assert count(shop, Note) >= 2
    assert [due.overdue for due in services_due(shop, NOW)].count(True) == 1
    assert count(shop, StationHours, StationHours.run_seconds > 100 * 3600) >= 6
    assert list(hour_differences(shop)) == []


def test_customers_changed_their_minds(shop):
    agreed = {what: count(shop, Agreement, Agreement.what == what) for what in Agreed}
    assert agreed[Agreed.CHANGED] >= 1
    assert agreed[Agreed.CANCELLED] == 1
    [line] = shop.scalars(sa.select(OrderLine).where(OrderLine.standing_quantity.is_not(None)))
    assert (len(line.deliveries), line.remaining > 0) == (3, True)


def test_goods_came_back_and_some_are_sent_again(shop):
    [returned] = shop.scalars(sa.select(GoodsReturn))
    assert [each.outcome for each in returned.decisions] == [Outcome.SHIP_AGAIN]
    assert returned.undecided == 1
    assert list(shipment_differences(shop)) == []


def test_it_was_measured_with_one_out_one_drifting_and_a_gauge_overdue(shop):
    assert count(shop, Reading) > 400
    decided, open_one = shop.scalars(sa.select(Nonconformance).order_by(Nonconformance.id)).all()
    assert [each.outcome for each in decided.dispositions] == [Disposed.SCRAP, Disposed.USE_AS_IS]
    assert (open_one.left > 0, open_one.lot.on_hold) == (True, True)
    drifting = shop.scalars(sa.select(Characteristic).where(Characteristic.name == "Shaft diameter")).one()
    charted = charted_readings(shop, drifting.id, Chosen())
    assert drift_of_last_lot(charted.readings, drifting.limits) is not None
    assert count(shop, Gauge, Gauge.due_on < NOW.date()) == 1


def test_every_page_opens(demo, shop):
    app = create_app(demo, CLOCK=lambda: NOW)
    owner = next(person for person in shop.scalars(sa.select(Person)) if person.has_role(Role.OWNER))
    client = app.test_client()
    with client.session_transaction() as cookie:
        cookie["person_id"] = owner.id
        cookie["session_stamp"] = owner.session_stamp
    failed = []
    for rule in app.url_map.iter_rules():
        if (
            "GET" not in (rule.methods or ())
            or rule.endpoint == "static"
            or "<path" in rule.rule
            or "<code" in rule.rule
        ):
            continue
        address = DETAIL.sub("1", rule.rule)
        answer = client.get(address)
        if answer.status_code >= 500:
            failed.append((address, answer.status_code))
    app.extensions["lotwright_engine"].dispose()
    assert failed == []


def test_the_same_present_gives_the_same_shop(tmp_path):
    def ledger(name: str) -> list[tuple[object, ...]]:
        file = tmp_path / name
        build(Config(sqlite_url(file), tmp_path, "for tests"), NOW, days=21)
        engine = make_engine(sqlite_url(file))
        with orm.Session(engine) as session:
            rows = session.execute(
                sa.select(
                    Posting.verb, Posting.happened_at, Entry.lot_id, Entry.quantity, Entry.to_place, LotOperation.number
                )
                .join(Entry, Entry.posting_id == Posting.id)
                .outerjoin(LotOperation, Entry.to_operation_id == LotOperation.id)
                .order_by(Entry.id)
            ).all()
        engine.dispose()
        return [tuple(row) for row in rows]

    first = ledger("first.sqlite3")
    assert first == ledger("second.sqlite3")
    assert len(first) > 20


def test_it_says_who_can_sign_in():
    words = how_to_sign_in()
    assert "password" in words
    assert "PIN" in words


def test_the_command_refuses_a_file_that_is_there_with_one_sentence(tmp_path):
    file = tmp_path / "there.sqlite3"
    file.write_bytes(b"")
    command = [sys.executable, "-m", "app.cli", "demo", "--build-only", "--database", str(file)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=Path(__file__).parents[2])
    assert done.returncode == 2
    assert "exists already" in done.stderr
    assert "Traceback" not in done.stderr
