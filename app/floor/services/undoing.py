"""Undoing what was recorded at a station, and who may decide about others' entries and holds."""

from sqlalchemy import orm

from app.floor import queries
from app.floor.errors import RoleNeededError
from app.floor.services.sent import Sent, doer, working
from app.lots import services as ledger
from app.lots.models import Posting
from app.lots.services import Act
from app.people.models import Role
from app.shared.words import gettext

MAY_DECIDE = (Role.OWNER, Role.SETUP_LEAD, Role.INSPECTOR)


def refuse_without_role(session: orm.Session, act: Act, what: str) -> None:
    """Refuse what only some may decide.

    Raises:
        RoleNeededError: who does it is neither setup lead nor inspector nor owner.
    """
    if not doer(session, act).has_role(*MAY_DECIDE):
        raise RoleNeededError(what)


def undo_entry(session: orm.Session, sent: Sent, posting_id: int) -> Posting:
    """Undo one posting of the station: one's own, or as setup lead, inspector or owner anybody's.

    Raises:
        EntryNotFoundError: the station has none with this key.
        NobodySignedOnError: nobody is signed on.
        RoleNeededError: it is another person's entry.
        CannotUndoError: its pieces have moved on, or it was undone before.
    """
    with working(session, sent) as act:
        posting = queries.get_entry(session, sent.station_id, posting_id)
        if act.person_id not in {posting.person_id, posting.recorded_by_id}:
            refuse_without_role(session, act, gettext("Undoing another person's entry"))
        return ledger.undo(session, act, posting_id)
