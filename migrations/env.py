"""Alembic's environment: runs migrations on the connection that the app hands over."""

from typing import Any, Literal

import sqlalchemy as sa
from alembic import context
from alembic.autogenerate.api import AutogenContext

import app.floor.models
import app.purchasing.models
import app.quality.models
import app.safekeeping.models
import app.schedule.models
import app.shared.lease
import app.shipping.models  # noqa: F401 - the tables of these and of all areas before them
from app.shared.database import Model, UtcDateTime
from app.shared.exact import Exact


def render_item(kind: str, item: Any, autogen_context: AutogenContext) -> str | Literal[False]:
    """Write our own column types as plain ones, so that a migration never imports app code."""
    if kind == "type" and isinstance(item, UtcDateTime):
        return "sa.DateTime(timezone=True)"
    if kind == "type" and isinstance(item, Exact):
        return "sa.BigInteger()"
    return False


def compare_type(
    _context: Any, _inspected: Any, _metadata: Any, inspected_type: Any, metadata_type: sa.types.TypeEngine[Any]
) -> bool | None:
    """Compare types on PostgreSQL only: strict SQLite knows five, and says TEXT for a date."""
    return False if context.get_context().dialect.name == "sqlite" else None


def run() -> None:
    """Run on ``config.attributes['connection']``."""
    connection: sa.Connection = context.config.attributes["connection"]
    context.configure(
        connection=connection,
        target_metadata=Model.metadata,
        render_as_batch=True,
        render_item=render_item,
        compare_type=compare_type,
        on_version_apply=context.config.attributes.get("on_applied"),
    )
    with context.begin_transaction():
        context.run_migrations()


run()
