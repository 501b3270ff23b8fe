"""Who did what, when, and the key that makes it happen exactly once."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.errors import KeyReusedError
from app.lots.models import Posting, Verb
from app.shared.fingerprint import fingerprint


@dataclass(frozen=True, slots=True)
class Act:
    """The circumstances of one use case.

    Attributes:
        key: the client's key of the form that was sent; the same key never counts twice.
        happened_at: when it happened (aware).
        recorded_at: when it was written down here (aware).
        person_id: who did it; None for the program itself.
        recorded_by_id: who wrote it down; None means the same person.
        station_id: the station it was done at.
        note: free words.
        is_estimate: nobody knows when it really happened.
    """

    key: str
    happened_at: datetime
    recorded_at: datetime
    person_id: int | None = None
    recorded_by_id: int | None = None
    station_id: int | None = None
    note: str = ""
    is_estimate: bool = False


KEPT = sa.select(Posting.id).where(Posting.client_key == sa.bindparam("key"))
"""Only its key: nearly every client's key is fresh."""


def earlier_answer(session: orm.Session, act: Act, verb: Verb | None, content: dict[str, Any]) -> Posting | None:
    """Return the posting that this key made before with the same content, or None for a fresh key.

    Without ``verb`` the content alone says what was done.

    Raises:
        KeyReusedError: the key was used for something else.
    """
    kept_id = session.connection().scalar(KEPT, {"key": act.key})
    if kept_id is None:
        return None
    kept = session.get_one(Posting, kept_id)
    if kept.content_hash != content_hash(verb or kept.verb, content):
        raise KeyReusedError(f"{kept.verb.value}, {sum(entry.quantity for entry in kept.entries)}")
    return kept


def content_hash(what: str, content: dict[str, Any]) -> str:
    """Return a fingerprint of what was asked for, such as a verb's content; times of the same act do not count."""
    return fingerprint(str(what), content)
