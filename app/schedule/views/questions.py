"""Questions for the planner and its answers: the page asks again each second until there is one."""

from datetime import timedelta
from typing import Final

from flask import abort, request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db
from app.people.models import OFFICE
from app.schedule import queries, services
from app.schedule.forms import PromiseQuestion, target_of
from app.schedule.models import QuestionKind
from app.schedule.views.blueprint import bp
from app.shared.clock import current_time
from app.shared.web import render, see_other
from app.shared.words import gettext

PATIENCE: Final = timedelta(seconds=60)
"""After so long without an answer the page says that the planner does not run."""


@bp.post("/schedule/promise")
@allowed(*OFFICE)
def ask_promise() -> Response:
    """Ask when an order could be finished with the confidence that the owner chose."""
    question = PromiseQuestion.from_arguments(request.form)
    if question.asked is None:
        abort(400, gettext("Choose a part and type the quantity first."))
    due = question.asked.due
    asked = {
        "revision_id": question.asked.revision_id,
        "quantity": question.asked.quantity,
        "due": due.isoformat() if due else None,
    }
    kept = services.ask(db.session, QuestionKind.PROMISE, asked, current_time())
    return see_other(url_for("schedule.promise_answer", question=kept.id, target=question.target))


@bp.get("/schedule/promise/answer")
@allowed(*OFFICE)
def promise_answer() -> Response:
    """Show the planner's answer about an order, or that it is on its way."""
    question = queries.find_question(db.session, request.args.get("question", 0, type=int))
    waits = question is not None and question.answered_at is None
    patient = question is not None and current_time() - question.asked_at < PATIENCE
    return render(
        "schedule/_promise_answer.html",
        question=question,
        waits=waits,
        patient=patient,
        target=target_of(request.args.get("target", "")),
        moment_of=queries.moment_of,
    )
