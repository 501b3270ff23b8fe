"""Sheets of paper as a person types them in: rows, and what the page and the ledger make of them."""

from datetime import UTC, datetime, timedelta

from app.lots.models import Verb
from app.lots.queries import ledger_of

YESTERDAY = "2026-01-06"
RELEASED = datetime(2026, 1, 5, 14, 0, tzinfo=UTC)
"""Monday 08:00 in the shop; the tests' present is Wednesday 7 January 09:00."""


def moment(day: int, clock: str) -> datetime:
    """Return a time of January 2026 on the shop's wall clock (six hours behind UTC)."""
    hour, minute = map(int, clock.split(":"))
    return datetime(2026, 1, day, hour, minute, tzinfo=UTC) + timedelta(hours=6)


def sheet(*rows: dict[str, object], key: str = "sheet") -> dict[str, str]:
    """Return what the form sends of some rows."""
    sent = {"key": key}
    for number, row in enumerate(rows):
        facts = {"day": YESTERDAY, "initials": "ib", "good": "", "expected": "", **row}
        sent.update({f"rows-{number}-{name}": str(value) for name, value in facts.items()})
    return sent


def of_lot(client, lot, *rows, **more):
    return client.post(f"/floor/paper/lots/{lot.id}", data=sheet(*rows, **more))


def row(operation, **facts):
    return {"operation": operation.id, **facts}


def beside(page: str, field: str) -> str:
    """Return the messages that stand beside a field."""
    return page.split(f'id="{field}-errors"', 1)[1].split("</div>", 1)[0]


def kept(session, lot):
    session.rollback()
    return [(each.verb, each.happened_at) for each in ledger_of(session, lot.id) if each.verb is not Verb.START]
