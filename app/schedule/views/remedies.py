"""What would help a late lot, and what if something were different: asked of the planner."""

from datetime import timedelta
from typing import Final

from flask import flash, request, url_for
from werkzeug.wrappers import Response

from app.extensions import allowed, db, sign_in
from app.parts.queries import find_parts, part_by_number
from app.people.models import OFFICE
from app.schedule import queries, services
from app.schedule.forms import WhatIfForm
from app.schedule.models import Question, QuestionKind
from app.schedule.views.blueprint import bp, forecast_age
from app.shared.clock import current_time
from app.shared.errors import PlainError, RefusedError
from app.shared.web import render, see_other
from app.shared.words import gettext
from app.stations import queries as station_queries

PATIENCE: Final = timedelta(minutes=3)
"""After so long without an answer the page says that the planner does not run."""


@bp.post("/schedule/lots/<int:lot_id>/remedies")
@allowed(*OFFICE)
def ask_remedies(lot_id: int) -> Response:
    """Ask what would help a lot."""
    kept = services.ask(db.session, QuestionKind.REMEDIES, {"lot_id": lot_id}, current_time())
    return see_other(url_for("schedule.remedies", question=kept.id))


@bp.post("/schedule/remedies")
@allowed(*OFFICE)
def ask_board_remedies() -> Response:
    """Ask what would help the late lots taken together."""
    kept = services.ask(db.session, QuestionKind.REMEDIES, {"lot_id": None}, current_time())
    return see_other(url_for("schedule.remedies", question=kept.id))


@bp.get("/schedule/remedies")
@allowed(*OFFICE)
def remedies() -> Response:
    """Show what would help a lot or the whole board, once the planner has tried it."""
    return _remedies_page(_asked())


@bp.post("/schedule/remedies/apply")
@allowed(*OFFICE)
def apply_remedy() -> Response:
    """Do one of the remedies."""
    question_id, place = (request.form.get(name, -1, type=int) for name in ("question", "place"))
    try:
        services.apply_remedy(db.session, question_id, place, sign_in.person.id, current_time())
    except RefusedError as refused:
        return _remedies_page(_asked(question_id), str(refused.problems[0].error), status=422)
    except PlainError as error:
        return _remedies_page(_asked(question_id), str(error), status=422)
    flash(gettext("Done. The forecast follows in a moment."), "note")
    return see_other(url_for("schedule.remedies", question=question_id))


@bp.get("/schedule/what-if")
@allowed(*OFFICE)
def what_if() -> Response:
    """Ask what if something were different, and show the planner's answer."""
    form, question = _what_if_form(), _asked()
    if question is not None and question.kind is QuestionKind.WHAT_IF:
        form.refill(question.asked)
    return _what_if_page(form)


@bp.post("/schedule/what-if")
@allowed(*OFFICE)
def ask_what_if() -> Response:
    """Ask the planner, or show the form again with what is wrong."""
    form = _what_if_form()
    if not form.validate():
        return _what_if_page(form, status=422)
    kept = services.ask(db.session, QuestionKind.WHAT_IF, form.to_input(), current_time())
    return see_other(url_for("schedule.what_if", question=kept.id))


def _what_if_form() -> WhatIfForm:
    stations = [each for each in station_queries.stations_with_hours(db.session) if each.active]

    def revision_of(number: str) -> int | None:
        part = part_by_number(db.session, number)
        current = next((each for each in part.revisions if each.current), None) if part else None
        return current.id if current else None

    return WhatIfForm(stations, station_queries.crews(db.session), revision_of, current_time())


def _what_if_page(form: WhatIfForm, status: int = 200) -> Response:
    question = _asked()
    parts = find_parts(db.session, form.part.data or "") if form.part.data else []
    return render(
        "schedule/what_if.html",
        fragment="schedule/_what_if.html",
        status=status,
        form=form,
        parts=parts,
        question=question,
        **_answered(question),
        asked_words=queries.what_if_words,
        crews=station_queries.crews(db.session),
        age=forecast_age(),
        moment_of=queries.moment_of,
    )


def _remedies_page(question: Question | None, refusal: str = "", status: int = 200) -> Response:
    return render(
        "schedule/remedies.html",
        fragment="schedule/_remedies.html",
        status=status,
        question=question,
        refusal=refusal,
        **_answered(question),
        words=queries.remedy_words,
        in_one_step=queries.in_one_step,
        age=forecast_age(),
        moment_of=queries.moment_of,
    )


def _asked(question_id: int | None = None) -> Question | None:
    number = request.args.get("question", 0, type=int) if question_id is None else question_id
    return queries.find_question(db.session, number)


def _answered(question: Question | None) -> dict[str, bool]:
    waits = question is not None and question.answered_at is None
    return {"waits": waits, "patient": question is not None and current_time() - question.asked_at < PATIENCE}
