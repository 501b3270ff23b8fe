"""The head of a control plan: what it says of itself, and when and by whom the plan was changed last."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import orm

from app.parts import queries
from app.parts.models import PlanHead, PlanPhase
from app.people.models import Person
from app.shared.database import transaction


@dataclass(frozen=True, slots=True)
class NewPlanHead:
    """The head as it is typed."""

    phase: PlanPhase
    contact: str = ""
    customer: str = ""


def change_plan_head(
    session: orm.Session, revision_id: int, new: NewPlanHead, *, by: Person | None, now: datetime
) -> PlanHead:
    """Change what a revision's control plan says of itself.

    Raises:
        RevisionNotFoundError: there is no such revision.
    """
    with transaction(session):
        revision = queries.get_revision(session, revision_id, lock=True)
        head = note_change(session, revision.id, by=by, now=now)
        head.phase, head.contact, head.customer = new.phase, new.contact, new.customer
    return head


def note_change(session: orm.Session, revision_id: int, *, by: Person | None, now: datetime) -> PlanHead:
    """Keep that a plan was changed now; its head is made where there is none. Inside a use case."""
    head = queries.plan_head(session, revision_id)
    person_id = by.id if by else None
    if head is None:
        head = PlanHead(revision_id=revision_id, phase=PlanPhase.PRODUCTION, contact="", customer="", changed_at=now)
        session.add(head)
    head.changed_at, head.changed_by_id = now, person_id
    return head
