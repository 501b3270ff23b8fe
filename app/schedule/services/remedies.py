"""Doing what helps: a remedy from the planner's answer, in one step."""

from datetime import datetime
from typing import Any

from sqlalchemy import orm

from app.core.planning.remedies import Help
from app.lots import services as lots
from app.schedule.errors import NoRemedyError, NotInOneStepError
from app.schedule.models import Question, QuestionKind
from app.schedule.queries.hours import moment_of
from app.schedule.services.pins import pin_lot
from app.shared.words import gettext
from app.stations import services as stations


def apply_remedy(session: orm.Session, question_id: int, place: int, by: int | None, now: datetime) -> int:
    """Do one of the remedies that the planner found; return the lot that it is for.

    Raises:
        NoRemedyError: the answer is gone.
        NotInOneStepError: somebody has to decide more about it.
        PlainError: it cannot be done any more, such as overtime where there is some already.
    """
    question = session.get(Question, question_id)
    answer = question.answer if question is not None and question.kind is QuestionKind.REMEDIES else None
    if answer is None or not 0 <= place < len(answer.get("remedies", ())):
        raise NoRemedyError
    step: dict[str, Any] = answer["remedies"][place]
    why = gettext("For lot %(lot)s", lot=answer["name"])
    match Help(step["help"]):
        case Help.FRONT:
            pin_lot(session, answer["lot_id"], by, now)
        case Help.OVERTIME:
            overtime = stations.NewOvertime(moment_of(step["start"]), moment_of(step["end"]), why)
            stations.add_overtime(session, step["station_id"], overtime)
        case Help.ELSEWHERE:
            act = lots.Act(f"remedy {question_id} {place}", happened_at=now, recorded_at=now, person_id=by)
            lots.send_to_station(session, act, step["operation_id"], step["station_id"], why)
        case _:
            raise NotInOneStepError
    return int(answer["lot_id"])
