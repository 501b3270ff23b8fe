"""A study of a gauge is recorded as it was written down: a line for each person and part."""

from dataclasses import dataclass
from typing import Final

from sqlalchemy import orm

from app.core.quality.errors import BadInputError, Fault
from app.core.quality.gauge_anova import study_by_anova
from app.core.quality.gauge_ranges import study_by_ranges
from app.lots.services import Act
from app.lots.services.acts import content_hash
from app.parts.errors import fault_words
from app.quality import queries
from app.quality.errors import StudyError, StudyLineError, UnbalancedError
from app.quality.models import GaugeStudy
from app.quality.services.keys import kept_before
from app.shared.database import transaction
from app.shared.typed import TypedError, dimension
from app.shared.words import gettext

MOST_LINES: Final = 25 * 25
LEAST_WORDS: Final = 4


@dataclass(frozen=True, slots=True)
class NewStudy:
    """A study as it is typed: each line has who, which part, and the values of all trials, with blanks between."""

    lines: str
    characteristic_id: int | None = None
    note: str = ""


def record_study(session: orm.Session, act: Act, gauge_id: int, new: NewStudy) -> GaugeStudy:
    """Keep a study of a gauge.

    Raises:
        GaugeNotFoundError: there is no such gauge.
        StudyError: the lines cannot be read, or do not make a study.
    """
    content = {"gauge": gauge_id, "lines": new.lines, "characteristic": new.characteristic_id}
    with transaction(session):
        gauge = queries.get_gauge(session, gauge_id)
        kept = kept_before(session, GaugeStudy, act.key, content)
        if kept is not None:
            return kept
        appraisers, parts, typed = _read(new.lines)
        study = GaugeStudy(
            gauge_id=gauge.id,
            characteristic_id=new.characteristic_id,
            appraisers=appraisers,
            typed=typed,
            note=new.note,
            client_key=act.key,
            content_hash=content_hash(GaugeStudy.__name__, content),
            recorded_at=act.recorded_at,
            recorded_by_id=act.person_id,
        )
        _check(study, parts)
        session.add(study)
    return study


def _read(text: str) -> tuple[list[str], list[str], list[list[list[str]]]]:
    """Return who measured, the names of the parts, and the values by both."""
    found: dict[str, dict[str, list[str]]] = {}
    parts: list[str] = []
    lines = [line for line in text.splitlines() if line.strip()]
    if len(lines) > MOST_LINES:
        raise StudyError(gettext("That is more than %(most)s lines.", most=MOST_LINES))
    for number, line in enumerate(lines, start=1):
        who, part, values = _line(number, line)
        if part in found.setdefault(who, {}):
            raise StudyLineError(number, gettext("%(who)s has part %(part)s twice.", who=who, part=part))
        found[who][part] = values
        if part not in parts:
            parts.append(part)
    return list(found), parts, [[measured.get(part, []) for part in parts] for measured in found.values()]


def _line(number: int, line: str) -> tuple[str, str, list[str]]:
    words = line.split()
    if len(words) < LEAST_WORDS:
        raise StudyLineError(number, gettext("type who, which part, and two values or more: Ann 1 0.5001 0.5003"))
    try:
        return words[0], words[1], [f"{dimension(each):f}" for each in words[2:]]
    except TypedError as error:
        raise StudyLineError(number, str(error)) from None


def _check(study: GaugeStudy, parts: list[str]) -> None:
    try:
        study_by_ranges(study.readings)
        study_by_anova(study.readings)
    except BadInputError as error:
        values = error.values
        if error.fault is Fault.UNBALANCED:
            who, part = study.appraisers[int(str(values["appraiser"]))], parts[int(str(values["part"]))]
            found, expected = int(str(values["trials"])), int(str(values["expected"]))
            raise UnbalancedError(who, part, found, expected) from None
        raise StudyError(fault_words(error)) from None
