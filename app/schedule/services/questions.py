"""Asking the planner, and keeping what it answers."""

from datetime import datetime, timedelta
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.schedule.models import Question, QuestionKind
from app.schedule.services.storing import PLANNER
from app.shared.database import lock_row, transaction
from app.shared.lease import still_holds

KEPT: Final = timedelta(days=1)


def ask(session: orm.Session, kind: QuestionKind, asked: dict[str, Any], now: datetime) -> Question:
    """Ask the planner something; questions of more than a day ago are thrown away."""
    with transaction(session):
        session.execute(sa.delete(Question).where(Question.asked_at < now - KEPT))
        question = Question(kind=kind, asked_at=now, asked=asked)
        session.add(question)
    return question


def answer(
    session: orm.Session, question_id: int, found: dict[str, Any] | None, now: datetime | None, *, holder: str
) -> None:
    """Keep an answer, or (None) that there was an error, for the planner that holds the lease.

    Without a time it is a first answer: a better one is still being worked out.
    """
    with transaction(session):
        question = lock_row(session, Question, question_id)
        if question is not None and still_holds(session, PLANNER, holder):
            question.answered_at, question.answer = now, found
