"""What a control plan says of itself, over its characteristics."""

from datetime import datetime
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy import orm

from app.parts.models.parts import Revision
from app.people.models import Person
from app.shared.database import Model, PrimaryKey
from app.shared.words import gettext


class PlanPhase(StrEnum):
    """For which phase of a part's life a control plan is (IATF 16949, Annex A names three)."""

    PROTOTYPE = "prototype"
    PRE_LAUNCH = "pre-launch"
    PRODUCTION = "production"

    @property
    def word(self) -> str:
        """Return it as pages name it."""
        words = {
            PlanPhase.PROTOTYPE: gettext("Prototype"),
            PlanPhase.PRE_LAUNCH: gettext("Pre-launch"),
            PlanPhase.PRODUCTION: gettext("Production"),
        }
        return words[self]


class PlanHead(Model):
    """The head of a revision's control plan; one is made with the first change of the plan."""

    __tablename__ = "plan_head"

    id: orm.Mapped[PrimaryKey]
    revision_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("revision.id"), unique=True)
    phase: orm.Mapped[PlanPhase] = orm.mapped_column(default=PlanPhase.PRODUCTION)
    contact: orm.Mapped[str] = orm.mapped_column(default="")
    """Who in the shop answers for it."""
    customer: orm.Mapped[str] = orm.mapped_column(default="")
    """What the customer asks to stand on it: their name, an approval, a number of theirs."""
    changed_at: orm.Mapped[datetime]
    changed_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    revision: orm.Mapped[Revision] = orm.relationship()
    changed_by: orm.Mapped[Person | None] = orm.relationship()
