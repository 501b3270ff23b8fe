"""Refuses a sign-off whose required readings are missing or out, and to undo what a disposition moved."""

from collections.abc import Iterable

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Entry, Place, Verb
from app.quality import queries
from app.quality.models import Disposition, Nonconformance
from app.shared.words import gettext

LEAVES = frozenset({Verb.SIGN_OFF, Verb.SEND_AHEAD, Verb.RECORD_LATE})


def refuse_unmeasured(session: orm.Session, entry: Entry) -> Iterable[str]:
    """Say what is missing of the pieces that an entry lets leave an operation as good.

    It costs nothing where the lot's operation measures nothing.
    """
    operation, target = entry.from_operation, entry.to_operation
    if operation is None or not operation.measured or entry.posting.verb not in LEAVES or not entry.quantity:
        return ()
    on = target is not None and target.number > operation.number and entry.to_place is Place.WAITING
    if not on and entry.to_place is not Place.IN_STOCK:
        return ()
    measured = queries.at_sign_off(
        session, queries.measured_operation(session, operation.id), entry.posting.happened_at
    )
    if measured.made.made <= measured.waived:
        return ()
    missing = queries.missing_words(measured)
    return [*missing, gettext("Measure it, or an inspector lets it go on with a reason.")] if missing else ()


def refuse_undone_decision(session: orm.Session, entry: Entry) -> Iterable[str]:
    """Say that what was decided about bad pieces is not undone in the ledger: the decision would still stand."""
    if entry.posting.verb is not Verb.UNDO:
        return
    decided = session.scalars(
        sa.select(Nonconformance.number)
        .join(Nonconformance.dispositions)
        .where(Disposition.posting_id == entry.posting.reverses_id)
    ).first()
    if decided is not None:
        yield gettext(
            "This was decided about N%(number)s and stays. Where it was wrong, say on the lot's page that the pieces "
            "were found out later, and decide again.",
            number=decided,
        )
