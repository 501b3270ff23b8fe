"""Questions that people ask the planner, answered one after another in a thread beside its loop."""

import logging
import threading
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any, Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.chances.simulation import Replayer
from app.core.chances.uncertainty import Uncertainty
from app.schedule import queries, services
from app.schedule.models import Question, QuestionKind
from app.schedule.planner.answers import Compute, promise_answer, remedies_answer, what_if_answer
from app.schedule.queries import Snapshot
from app.shared.database import one_state

Prepare = Callable[[orm.Session, Snapshot, Callable[[], Uncertainty], dict[str, Any]], Compute]
"""What reads all that an answer needs: session, snapshot, what is uncertain, and what was asked."""

PREPARE: Final[dict[QuestionKind, Prepare]] = {
    QuestionKind.PROMISE: promise_answer,
    QuestionKind.REMEDIES: remedies_answer,
    QuestionKind.WHAT_IF: what_if_answer,
}

ALONE_FOR: Final = timedelta(seconds=5)
"""So long a forecast waits for answers on their way, however many follow one another."""

log = logging.getLogger(__name__)


class _Answer:
    """One answer on its way."""

    def __init__(self, question_id: int, compute: Compute, replayer: Replayer) -> None:
        self.question_id = question_id
        self.found: dict[str, Any] | None = None
        """The best answer so far."""
        self.shown: dict[str, Any] | None = None
        """The one that is kept already."""
        self._compute, self._replayer = compute, replayer
        self._thread = threading.Thread(target=self._run, name=f"answer {question_id}", daemon=True)
        self._thread.start()

    @property
    def is_over(self) -> bool:
        return not self._thread.is_alive()

    def join(self) -> None:
        self._thread.join()

    def _run(self) -> None:
        try:
            for found in self._compute(self._replayer):
                self.found = found
        except Exception:
            self.found = None
            log.exception("Question %s could not be answered.", self.question_id)


class Answering:
    """What the planner's loop does about questions."""

    def __init__(self, engine: sa.Engine, holder: str, history: Callable[[Snapshot], queries.History]) -> None:
        self._engine, self._holder, self._history = engine, holder, history
        self._answer: _Answer | None = None
        self._busy_since: datetime | None = None

    @property
    def is_busy(self) -> bool:
        """Say whether an answer is on its way."""
        return self._answer is not None

    def comes_first(self, now: datetime) -> bool:
        """Say whether a forecast should wait: computed beside an answer, it takes as long again from who asked."""
        return self._busy_since is not None and timedelta() <= now - self._busy_since < ALONE_FOR

    def tend(self, now: datetime, replayer: Replayer) -> None:
        """Keep the answer that is there, or what there is of it, and begin with the oldest question that has none."""
        if self._answer is not None and self._answer.is_over:
            self._keep(self._answer.question_id, self._answer.found, now)
            self._answer = None
        elif self._answer is not None and self._answer.found is not self._answer.shown:
            self._answer.shown = self._answer.found
            self._keep(self._answer.question_id, self._answer.shown)
        if self._answer is None:
            self._begin(now, replayer)
        self._busy_since = None if self._answer is None else self._busy_since or now

    def wait(self) -> None:
        """Wait until the answer on its way is there; it is kept when it is tended next."""
        if self._answer is not None:
            self._answer.join()

    def _begin(self, now: datetime, replayer: Replayer) -> None:
        waiting = sa.select(Question).where(Question.answered_at.is_(None)).order_by(Question.id).limit(1)
        with orm.Session(self._engine) as session:
            question = session.scalars(waiting).one_or_none()
        if question is None:
            return
        try:
            with one_state(self._engine) as session:
                snapshot = queries.read_snapshot(session, now)
                compute = PREPARE[question.kind](session, snapshot, lambda: self._uncertain(snapshot), question.asked)
        except Exception:
            log.exception("Question %s could not be read.", question.id)
            self._keep(question.id, None, now)
            return
        self._answer = _Answer(question.id, compute, replayer)

    def _uncertain(self, snapshot: Snapshot) -> Uncertainty:
        return queries.uncertainty_of(snapshot, self._history(snapshot))

    def _keep(self, question_id: int, found: dict[str, Any] | None, now: datetime | None = None) -> None:
        with orm.Session(self._engine) as session:
            services.answer(session, question_id, found, now, holder=self._holder)
