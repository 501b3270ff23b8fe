"""Counts the SQL statements that a request or a query sends."""

from collections.abc import Iterator
from contextlib import contextmanager

import sqlalchemy as sa


@contextmanager
def counted(engine: sa.Engine) -> Iterator[list[str]]:
    """Give the list that the statements sent meanwhile are added to; beginning a transaction does not count."""
    sent: list[str] = []

    def note(*arguments: object) -> None:
        statement = str(arguments[2])
        if not statement.startswith("BEGIN"):
            sent.append(statement)

    sa.event.listen(engine, "before_cursor_execute", note)
    try:
        yield sent
    finally:
        sa.event.remove(engine, "before_cursor_execute", note)
