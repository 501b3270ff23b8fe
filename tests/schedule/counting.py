"""Counting the statements that something takes."""

from collections.abc import Iterator
from contextlib import contextmanager

import sqlalchemy as sa


@contextmanager
def counted(engine: sa.Engine) -> Iterator[list[str]]:
    """Collect the statements that reach the database meanwhile, without the brackets of transactions."""
    seen: list[str] = []

    def note(_connection, _cursor, statement, *_rest):
        if not statement.startswith(("BEGIN", "PRAGMA")):
            seen.append(statement)

    sa.event.listen(engine, "before_cursor_execute", note)
    try:
        yield seen
    finally:
        sa.event.remove(engine, "before_cursor_execute", note)
