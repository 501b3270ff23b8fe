"""The session, its transactions and the column types: one way to read and one way to write, on both databases."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from enum import Enum
from typing import Annotated, Any, ClassVar, TypeVar

import sqlalchemy as sa
from sqlalchemy import orm
from sqlalchemy.engine.interfaces import DBAPIConnection, Dialect
from sqlalchemy.ext.compiler import compiles
from sqlalchemy.pool import ConnectionPoolEntry

from app.shared.errors import NotFoundError

BUSY_TIMEOUT_MS = 15_000
WRITE = "lotwright_write"
Row = TypeVar("Row")


class UtcDateTime(sa.types.TypeDecorator[datetime]):
    """An aware time, kept in UTC; a naive one is refused.

    Raises:
        ValueError: when a time without a zone is stored.
    """

    impl = sa.DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Turn any zone into UTC; SQLite keeps it without the offset."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value} has no time zone")
        utc = value.astimezone(UTC)
        return utc.replace(tzinfo=None) if dialect.name == "sqlite" else utc

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Give back an aware time in UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


@sa.event.listens_for(sa.Table, "after_parent_attach")
def _strict_on_sqlite(table: sa.Table, _parent: sa.MetaData) -> None:
    """Make SQLite check the type of each value, as PostgreSQL does."""
    if table.name != "alembic_version":
        table.dialect_options["sqlite"]["strict"] = True


def choice(kind: type[Enum], name: str | None = None) -> sa.Enum:
    """Return the column type that keeps the value of a ``kind``, checked by the database.

    Where a table has two columns of one kind, each needs its own constraint ``name``.
    """
    return sa.Enum(
        kind,
        name=name,
        native_enum=False,
        create_constraint=True,
        length=40,
        values_callable=lambda members: [member.value for member in members],
    )


class Model(orm.DeclarativeBase):
    """Base of all tables. Tables with ``read_by_planner`` add one to the change number when a row changes."""

    read_by_planner: ClassVar[bool] = False

    metadata = sa.MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
            "pk": "pk_%(table_name)s",
        }
    )
    type_annotation_map: ClassVar[dict[Any, Any]] = {
        datetime: UtcDateTime(),
        str: sa.Text(),
        Enum: choice(Enum),
    }


PrimaryKey = Annotated[int, orm.mapped_column(sa.Integer, primary_key=True)]


def looked_up(**options: Any) -> Any:
    """Return a relationship that is only read: whoever makes a row sets its key.

    A flush looks at each relationship of each table that it writes, so those that nothing is ever put into are kept
    out of its way. To put something into one is refused, since it would be lost without a word.
    """
    return orm.relationship(viewonly=True, **options)


class ChangeNumber(Model):
    """One row: how often anything that planning reads has changed."""

    __tablename__ = "change_number"
    __table_args__ = (sa.CheckConstraint("id = 1", name="one_row"),)

    id: orm.Mapped[PrimaryKey]
    number: orm.Mapped[int] = orm.mapped_column(sa.BigInteger)


def _plain_sqlite_type(*types: type[sa.types.TypeEngine[Any]], name: str) -> None:
    for each in types:
        compiles(each, "sqlite")(lambda _type, _compiler, _name=name, **_options: _name)


# A strict SQLite table knows only these names; SQLAlchemy converts the values itself.
_plain_sqlite_type(sa.Boolean, sa.BigInteger, sa.Integer, sa.SmallInteger, name="INTEGER")
_plain_sqlite_type(sa.DateTime, sa.Date, sa.Time, sa.String, sa.Text, sa.Enum, sa.JSON, name="TEXT")


def table_of(model: type[Model]) -> sa.Table:
    """Return the table of a model: a statement of it alone asks nothing of the mapping, and tells no session."""
    return model.metadata.tables[model.__tablename__]


# Made once, since every change runs it; no session holds the row, so none has to be told.
_changes = table_of(ChangeNumber)
ONE_MORE_CHANGE = sa.update(_changes).values(number=_changes.c.number + 1)


@sa.event.listens_for(Model, "attribute_instrument", propagate=True)
def _refuse_what_would_be_lost(_model: type[Model], _name: str, attribute: orm.QueryableAttribute[Any]) -> None:
    if isinstance(attribute.property, orm.RelationshipProperty) and attribute.property.viewonly:
        for change in ("set", "append", "remove"):
            sa.event.listen(attribute, change, _refuse)


def _refuse(*_change: object) -> None:
    raise TypeError("this relationship is only read: set the key instead")


class UnsavedChangesError(RuntimeError):
    """The session holds changes made outside a use case: a mistake of the program, not of the user."""


class DoomedTransactionError(RuntimeError):
    """An inner use case failed and its error was caught; the outer one must not be kept."""


@contextmanager
def transaction(session: orm.Session) -> Iterator[None]:
    """Run one use case: begin for writing, commit on success, roll back on any error.

    Ends the request's read transaction first, so that what is read inside is read afresh under the write lock.
    One use case writes at a time, on both databases: what it reads to decide, such as which names, numbers and keys are
    taken, stays true until its commit.
    An inner use joins the outer one; an error inside it dooms the outer one even if it is caught.

    Raises:
        UnsavedChangesError: the session holds changes made outside a use case.
        DoomedTransactionError: an inner use case failed and the outer one tried to go on.
    """
    if session.info.get("use_case_open"):
        try:
            yield
            session.flush()  # what the inner use case made has its ids, as it would after a commit
        except BaseException:
            session.info["doomed"] = True
            raise
        return
    _begin_write(session)
    try:
        yield
        _refuse_doomed(session)
        session.flush()
        _count_change(session)
        session.commit()
    except BaseException:
        session.rollback()
        _forget_inserted(session)
        raise
    finally:
        for mark in ("use_case_open", "doomed", "planner_must_look", "inserted"):
            session.info.pop(mark, None)


def _begin_write(session: orm.Session) -> None:
    if session.new or session.dirty or session.deleted:
        raise UnsavedChangesError
    session.rollback()
    connection = session.connection(execution_options={WRITE: True})
    if connection.dialect.name == "postgresql":
        # One writer at a time, as BEGIN IMMEDIATE does on SQLite: no two use cases can wait for each other's rows.
        session.execute(sa.select(ChangeNumber.id).with_for_update())
    session.info["use_case_open"] = True


def _refuse_doomed(session: orm.Session) -> None:
    if session.info.get("doomed"):
        raise DoomedTransactionError


def _count_change(session: orm.Session) -> None:
    if session.info.get("planner_must_look"):
        session.connection().execute(ONE_MORE_CHANGE)


def _forget_inserted(session: orm.Session) -> None:
    """Let a session that rolled back forget what it inserted at once; what a flush did it forgets by itself."""
    for row in session.info.get("inserted", ()):
        if row in session:
            session.expunge(row)


@sa.event.listens_for(orm.Session, "before_flush")
def _note_what_planning_reads(session: orm.Session, _context: Any, _instances: Any) -> None:
    note_if_read_by_planner(session, (*session.new, *session.dirty, *session.deleted))


def note_if_read_by_planner(session: orm.Session, changed: Iterable[object]) -> None:
    """Have the use case add one to the change number where planning reads one of the rows that it changes."""
    if any(getattr(type(row), "read_by_planner", False) for row in changed):
        session.info["planner_must_look"] = True


def change_number(session: orm.Session) -> int:
    """Return how often anything that planning reads has changed."""
    return session.scalars(sa.select(ChangeNumber.number)).one()


@contextmanager
def one_state(engine: sa.Engine) -> Iterator[orm.Session]:
    """Give a session whose reads all see one state of the database."""
    # On SQLite a read transaction is one state already.
    options = {} if engine.dialect.name == "sqlite" else {"isolation_level": "REPEATABLE READ"}
    with orm.Session(engine, expire_on_commit=False) as session:
        session.connection(execution_options=options)
        yield session


def the_one(
    session: orm.Session, chosen: sa.Select[Row], missing: type[NotFoundError], values: dict[str, Any] | None = None
) -> Row:
    """Return the row that a statement chooses, with these ``values`` for what it leaves open.

    Raises:
        NotFoundError: there is none; ``missing`` says so.
    """
    found = session.scalars(chosen, values).one_or_none()
    if found is None:
        raise missing
    return found


def lock_row(session: orm.Session, model: type[Row], key: int | str) -> Row | None:
    """Read one row under its lock; on SQLite the write transaction is the lock."""
    return session.get(model, key, with_for_update=True, populate_existing=True)


def make_engine(url: str | sa.URL, **options: Any) -> sa.Engine:
    """Make an engine that behaves alike on SQLite and PostgreSQL.

    SQLite: write-ahead log, full synchronous commits, foreign keys, a busy timeout, and a transaction that we begin
    ourselves (IMMEDIATE for writing, so that a read is never turned into a write behind another writer's back).
    """
    engine = sa.create_engine(url, **options)
    if engine.dialect.name == "sqlite":
        sa.event.listen(engine, "connect", _set_up_sqlite)
        sa.event.listen(engine, "begin", _begin_sqlite)
    return engine


def _set_up_sqlite(connection: DBAPIConnection, _record: ConnectionPoolEntry) -> None:
    connection.isolation_level = None
    cursor = connection.cursor()
    for pragma in (
        f"busy_timeout={BUSY_TIMEOUT_MS}",
        "journal_mode=WAL",
        "synchronous=FULL",
        "foreign_keys=ON",
        "cell_size_check=ON",
        "trusted_schema=OFF",
    ):
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def _begin_sqlite(connection: sa.Connection) -> None:
    write = connection.get_execution_options().get(WRITE, False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")
