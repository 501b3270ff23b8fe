"""Lets later areas refuse a release or a sign-off, in the same transaction, without being imported here."""

from collections.abc import Callable, Iterable, Sequence
from typing import TypeAlias

from sqlalchemy import orm

from app.lots.errors import EntryRefusedError
from app.lots.models import Entry

EntryCheck: TypeAlias = Callable[[orm.Session, Entry], Iterable[str]]

_checks: list[EntryCheck] = []


def check_entries(check: EntryCheck) -> None:
    """Have ``check(session, entry)`` say, in sentences for the person who asked, why an entry cannot be kept.

    It runs for each entry that starts pieces at a release (``entry.posting.verb`` is START), once the whole lot is
    there, for each by which pieces leave an operation as done (signed off, sent ahead or recorded late), and for each
    of an UNDO, whose posting names the one it reverses. All is flushed by then; one sentence from any check undoes all
    of it. A later area calls this in its wiring.
    """
    if check not in _checks:
        _checks.append(check)


def refuse_unfit(session: orm.Session, entries: Sequence[Entry]) -> None:
    """Run the checks on new entries; it costs nothing where there are none.

    Raises:
        EntryRefusedError: with all that the checks say, each sentence once.
    """
    if not _checks:
        return
    session.flush()
    sentences = [sentence for entry in entries for check in _checks for sentence in check(session, entry)]
    if sentences:
        raise EntryRefusedError(list(dict.fromkeys(sentences)))
