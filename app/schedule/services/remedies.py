"""Doing what helps: a remedy from the planner's answer, in one step."""

from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from sqlalchemy import orm

from app.core.planning.helping import Help
from app.lots import services as lots
from app.lots.models import LotOperation
from app.material import services as material
from app.material.queries import get_material_line
from app.schedule.errors import MovedSinceError, NoRemedyError, NotInOneStepError, RemedyDoneError
from app.schedule.models import Question, QuestionKind
from app.schedule.queries.hours import moment_of
from app.schedule.services.pins import pin_lot
from app.shared.database import lock_row, transaction
from app.shared.words import gettext
from app.stations import services as stations


def apply_remedy(session: orm.Session, question_id: int, place: int, by: int | None, now: datetime) -> None:
    """Do one of the remedies that the planner found, and note on its answer that it is done.

    Raises:
        NoRemedyError: the answer is gone.
        RemedyDoneError: it was done already.
        NotInOneStepError: somebody has to decide more about it.
        PlainError: it cannot be done any more, such as overtime where there is some already.
    """
    with transaction(session):
        question = lock_row(session, Question, question_id)
        answer = question.answer if question is not None and question.kind is QuestionKind.REMEDIES else None
        if question is None or answer is None or not 0 <= place < len(answer.get("remedies", ())):
            raise NoRemedyError
        steps = list(answer["remedies"])
        if steps[place].get("done_at"):
            raise RemedyDoneError
        _do(session, steps[place], _Doing(f"remedy {question_id} {place}", by, now))
        steps[place] = {**steps[place], "done_at": int(now.timestamp())}
        question.answer = {**answer, "remedies": steps}


@dataclass(frozen=True, slots=True)
class _Doing:
    """The key of a remedy, who has it done, and when."""

    key: str
    by: int | None
    now: datetime

    def act(self, why: str) -> lots.Act:
        return lots.Act(self.key, happened_at=self.now, recorded_at=self.now, person_id=self.by, note=why)


def _do(session: orm.Session, step: dict[str, Any], doing: _Doing) -> None:
    why = gettext("So that lot %(lot)s is less late", lot=step["lot"]) if step["lot"] else gettext("Against late lots")
    match Help(step["help"]):
        case Help.FRONT:
            pin_lot(session, step["lot_id"], doing.by, doing.now)
        case Help.OVERTIME:
            overtime = stations.NewOvertime(moment_of(step["start"]), moment_of(step["end"]), why)
            stations.add_overtime(session, step["station_id"], overtime)
        case Help.ELSEWHERE:
            lots.send_to_station(session, doing.act(why), step["operation_id"], step["station_id"], why)
        case Help.SPLIT | Help.AHEAD:
            _change_way(session, step, doing.act(why))
        case Help.PERSON:
            stations.move_person(session, step["crew"], step["setters"], step["source"])
        case Help.BLANKS:
            _expect_sooner(session, step, doing, why)


def _expect_sooner(session: orm.Session, step: dict[str, Any], doing: _Doing, why: str) -> None:
    """Expect the purchases of a lot's blanks on the days that were tried, which their vendors have agreed to.

    Raises:
        NotInOneStepError: these blanks have to be ordered first.
        MovedSinceError: a purchase is expected on another day than when it was tried.
    """
    if not step.get("purchases"):
        raise NotInOneStepError
    for each in step["purchases"]:
        if get_material_line(session, each["line_id"], lock=True).expected_on.isoformat() != each["before"]:
            raise MovedSinceError(each["vendor"])
        agreed = gettext("Agreed with %(vendor)s. %(why)s", vendor=each["vendor"], why=why)
        day = date.fromisoformat(each["day"])
        material.move_expected(session, each["line_id"], day, agreed, by_id=doing.by, now=doing.now)


def _change_way(session: orm.Session, step: dict[str, Any], act: lots.Act) -> None:
    """Split an operation or send its pieces ahead; what it does of the other stays."""
    operation = session.get(LotOperation, step["operation_id"])
    if operation is None:
        raise NoRemedyError
    way = lots.Way(operation.split_over, operation.send_ahead)
    way = replace(way, stations=2) if step["help"] == Help.SPLIT else replace(way, ahead=step["pieces"])
    lots.change_way(session, act, step["lot_id"], operation.id, way)
