"""Questions that take the planner's computing: asked on a page, answered within seconds by the planner."""

from datetime import datetime
from enum import StrEnum
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.shared.database import Model, PrimaryKey


class QuestionKind(StrEnum):
    """What is asked."""

    PROMISE = "promise"
    WHAT_IF = "what if"
    REMEDIES = "remedies"


class WhatIf(StrEnum):
    """What could be different."""

    DOWN = "down"
    CLOSED = "closed"
    PERSON = "person"
    RUSH = "rush"


class Question(Model):
    """One question and, once there is one, its answer; old ones are thrown away."""

    __tablename__ = "planner_question"

    id: orm.Mapped[PrimaryKey]
    kind: orm.Mapped[QuestionKind]
    asked_at: orm.Mapped[datetime]
    asked: orm.Mapped[dict[str, Any]] = orm.mapped_column(sa.JSON)
    answered_at: orm.Mapped[datetime | None]
    answer: orm.Mapped[dict[str, Any] | None] = orm.mapped_column(sa.JSON(none_as_null=True))
    """Before it is answered: what is known so far. Missing once it is answered: the planner met an error."""
