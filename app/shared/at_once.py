"""Writing single rows of a use case at once: a flush would first look through all that hangs on each of them."""

from functools import cache

import sqlalchemy as sa
from sqlalchemy import orm
from sqlalchemy.orm.attributes import set_committed_value

from app.shared.database import Model, note_if_read_by_planner, table_of


def insert_now(session: orm.Session, row: Model) -> None:
    """Insert a new row.

    What it refers to must be stored already, and it gives every column but its ``id``: no default is filled in.
    """
    insert, columns = _insert(type(row))
    inserted = session.connection().execute(insert, {name: getattr(row, name) for name in columns})
    (key,) = tuple(inserted.inserted_primary_key or ())
    set_committed_value(row, "id", key)
    orm.make_transient_to_detached(row)
    session.add(row)
    session.info.setdefault("inserted", []).append(row)
    note_if_read_by_planner(session, [row])


@cache
def _insert(model: type[Model]) -> tuple[sa.Insert, list[str]]:
    table = table_of(model)
    return sa.insert(table), [column.name for column in table.columns if column.name != "id"]


def delete_now(session: orm.Session, row: Model) -> None:
    """Delete a stored row; the session forgets it."""
    (key,) = tuple(sa.inspect(row).identity or ())
    session.connection().execute(_delete(type(row)), {"key": key})
    session.expunge(row)
    note_if_read_by_planner(session, [row])


@cache
def _delete(model: type[Model]) -> sa.Delete:
    table = table_of(model)
    return sa.delete(table).where(table.c.id == sa.bindparam("key"))
