"""Every revision goes up and down, with data, on both databases; models and migrations agree."""

from datetime import UTC, date, datetime

import pytest
import sqlalchemy as sa
from alembic import command
from alembic.script import ScriptDirectory
from sqlalchemy import orm

from app.lots.models import Lot, LotOperation
from app.lots.services import send_back_to_vendor
from app.orders.models import Agreed, Agreement
from app.parts.models import OperationFile
from app.schedule.models import AcceptedPlan, CameTo, OperationRank, OrderSearch, Proposal, Stage
from app.shared.database import Model, make_engine
from app.shared.schema import NewerDatabaseError, OutOfDateError, alembic_config, refuse_wrong_schema, upgrade
from tests.factories.base import factory_session
from tests.factories.lots import act, make_lot, make_routing, station_of
from tests.factories.orders import DeliveryFactory
from tests.factories.parts import StoredFileFactory

REVISIONS = [script.revision for script in ScriptDirectory.from_config(alembic_config()).walk_revisions()]


@pytest.fixture
def filled(new_database):
    with new_database() as url:
        engine = make_engine(url)
        with orm.Session(engine) as session, factory_session(session):
            make_lot(session)
        yield engine
        engine.dispose()


def run(engine, what, revision):
    with engine.connect() as connection:
        if engine.dialect.name == "sqlite":
            connection.connection.dbapi_connection.execute("PRAGMA foreign_keys=OFF")
        with connection.begin():
            what(alembic_config(connection), revision)


def test_models_and_migrations_agree(filled):
    with filled.connect() as connection, connection.begin():
        command.check(alembic_config(connection))


def test_every_revision_goes_down_and_up_again(filled):
    for below in [*REVISIONS[1:], "base"]:
        run(filled, command.downgrade, below)
    assert set(sa.inspect(filled).get_table_names()) <= {"alembic_version"}
    upgrade(filled)
    refuse_wrong_schema(filled)
    assert set(sa.inspect(filled).get_table_names()) == {*Model.metadata.tables, "alembic_version"}


def test_lots_keep_the_sheets_that_they_showed_when_lots_began_to_keep_their_own(filled):
    with orm.Session(filled) as session, factory_session(session):
        routing = make_routing(operations=1)
        operation_id = routing.operations[0].id
        for title in ("Drawing", "Vise"):
            session.add(OperationFile(routing_operation_id=operation_id, file=StoredFileFactory(), title=title))
        session.commit()
        lot_id = make_lot(session, routing=routing).id
    run(filled, command.downgrade, "0003")
    upgrade(filled)
    with orm.Session(filled) as session:
        assert [sheet.title for sheet in session.get_one(Lot, lot_id).operations[0].sheets] == ["Drawing", "Vise"]


def test_deliveries_of_before_have_their_first_promise_and_what_is_agreed_now_on_record(filled):
    with orm.Session(filled) as session, factory_session(session):
        moved = DeliveryFactory(due=date(2026, 3, 6), first_due=date(2026, 2, 6))
        moved_id, kept_id = moved.id, DeliveryFactory().id
    run(filled, command.downgrade, "0012")
    upgrade(filled)
    with orm.Session(filled) as session:
        agreed = session.execute(
            sa.select(Agreement.delivery_id, Agreement.what, Agreement.due, Agreement.quantity).order_by(Agreement.id)
        ).all()
    assert [tuple(row) for row in agreed] == [
        (moved_id, Agreed.FIRST, date(2026, 2, 6), 50),
        (moved_id, Agreed.CHANGED, date(2026, 3, 6), 50),
        (kept_id, Agreed.FIRST, date(2026, 2, 6), 50),
    ]


def test_what_went_back_to_a_vendor_is_scrap_to_a_program_that_knows_no_vendor(filled):
    with orm.Session(filled) as session, factory_session(session):
        lot = make_lot(session)
        send_back_to_vendor(session, act(), lot.operations[0].id, 3, "porous")
        key = lot.operations[0].id
    run(filled, command.downgrade, "0024")
    with filled.begin() as connection:
        counts = connection.execute(sa.text("SELECT scrapped FROM lot_operation WHERE id = :key"), {"key": key})
        told = connection.execute(sa.text("SELECT count(*) FROM entry WHERE to_place = 'scrapped' AND quantity = 3"))
        assert (counts.scalar(), told.scalar()) == (3, 1)
        with pytest.raises(sa.exc.DBAPIError, match="only grows"), connection.begin_nested():
            connection.execute(sa.text("UPDATE entry SET quantity = 2"))
    upgrade(filled)


def test_a_proposal_of_before_is_what_its_search_came_to(filled):
    with orm.Session(filled) as session, factory_session(session):
        now = datetime(2026, 1, 7, tzinfo=UTC)
        sums = dict.fromkeys(("late_seconds_before", "late_seconds_after", "late_lots_before", "late_lots_after"), 0)
        session.add(OrderSearch(id=1, stage=Stage.ENDED, asked_at=now))
        session.add(Proposal(id=1, made_at=now, change_number=1, lots=[], stations=[], ranks=[], **sums))
        session.commit()
    run(filled, command.downgrade, "0028")
    upgrade(filled)
    with orm.Session(filled) as session:
        assert session.scalars(sa.select(OrderSearch.came_to)).one() is CameTo.PROPOSED


def test_a_rank_of_before_is_of_the_last_plan_that_was_accepted_at_its_station(filled):
    with orm.Session(filled) as session, factory_session(session):
        operations = session.scalars(sa.select(LotOperation).order_by(LotOperation.number)).all()
        names = [station_of(each).name for each in operations]
        moments = [datetime(2026, 1, day, tzinfo=UTC) for day in (7, 8)]
        both = AcceptedPlan(accepted_at=moments[0], stations=names[:2])
        alone = AcceptedPlan(accepted_at=moments[1], stations=names[:1])
        session.add_all([both, alone])
        session.flush()
        for rank, (operation, plan) in enumerate(zip(operations, [alone, both, alone], strict=True)):
            station_id = station_of(operation).id  # the last one's has another name since
            session.add(OperationRank(operation_id=operation.id, rank=rank, station_id=station_id, accepted_plan=plan))
        session.commit()
    run(filled, command.downgrade, "0029")
    upgrade(filled)
    with orm.Session(filled) as session:
        ranks = session.scalars(sa.select(OperationRank).order_by(OperationRank.rank))
        assert [each.accepted_plan.accepted_at for each in ranks] == [moments[1], moments[0], moments[1]]


def test_a_database_that_is_behind_is_refused(filled):
    run(filled, command.downgrade, REVISIONS[1])
    with pytest.raises(OutOfDateError, match="lotwright upgrade"):
        refuse_wrong_schema(filled)


def test_a_newer_database_is_refused(filled):
    with filled.begin() as connection:
        connection.execute(sa.text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(NewerDatabaseError, match="newer Lotwright"):
        refuse_wrong_schema(filled)


def test_sqlite_checks_the_type_of_every_value(filled):
    if filled.dialect.name != "sqlite":
        pytest.skip("PostgreSQL always does")
    with filled.connect() as connection:
        loose = connection.execute(sa.text("SELECT name FROM pragma_table_list WHERE strict = 0 AND schema = 'main'"))
        assert {row[0] for row in loose} <= {"alembic_version", "sqlite_schema", "sqlite_sequence"}
