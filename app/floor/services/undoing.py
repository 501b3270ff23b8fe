"""Undoing what was recorded at a station, and who may decide about others' entries and holds."""

from sqlalchemy import orm

from app.floor import queries
from app.floor.errors import RoleNeededError
from app.floor.services.sent import Sent, working
from app.lots import services as ledger
from app.lots.models import Posting
from app.people.models import Person, Role
from app.shared.words import gettext

MAY_DECIDE = (Role.OWNER, Role.SETUP_LEAD, Role.INSPECTOR)


def refuse_without_role(person: Person, what: str) -> None:
    """Refuse what only some may decide.

    Raises:
        RoleNeededError: the person is neither setup lead nor inspector nor owner.
    """
    if not person.has_role(*MAY_DECIDE):
        raise RoleNeededError(what)


def undo_entry(session: orm.Session, sent: Sent, posting_id: int) -> Posting:
    """Undo one posting of the station: one's own, or as setup lead, inspector or owner anybody's.

    Raises:
        EntryNotFoundError: the station has none with this key.
        NobodySignedOnError: nobody is signed on.
        RoleNeededError: it is another person's entry.
        CannotUndoError: its pieces have moved on, or it was undone before.
    """
    with working(session, sent) as (act, person):
        posting = queries.get_entry(session, sent.station_id, posting_id)
        if person.id not in {posting.person_id, posting.recorded_by_id}:
            refuse_without_role(person, gettext("Undoing another person's entry"))
        return ledger.undo(session, act, posting_id)
