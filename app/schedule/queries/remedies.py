"""What would help a late lot, in words, made when they are shown: in the reader's language."""

from collections.abc import Mapping
from typing import Any, Final

from app.core.planning.remedies import Help
from app.schedule.queries.hours import moment_of
from app.shared.words import gettext, moment, ngettext

IN_ONE_STEP: Final = frozenset({Help.OVERTIME, Help.ELSEWHERE, Help.FRONT})
"""What the program can do at once; for the others somebody has to decide more."""


def in_one_step(kept: Mapping[str, Any]) -> bool:
    """Say whether a remedy can be applied with one press."""
    return Help(kept["help"]) in IN_ONE_STEP


def remedy_words(kept: Mapping[str, Any]) -> str:
    """Say what is to be done."""
    operation = f"{kept['operation']} {kept['title']}".strip()
    if kept["setters"] < 0:
        person = gettext("One of those who set up loads and tends instead")
    else:
        person = gettext("One of those who load and tend sets up instead")
    words = {
        Help.OVERTIME: gettext(
            "%(station)s works overtime from %(start)s to %(end)s",
            station=kept["station"],
            start=moment(moment_of(kept["start"])),
            end=moment(moment_of(kept["end"])),
        ),
        Help.ELSEWHERE: gettext("Operation %(step)s goes to %(station)s", step=operation, station=kept["station"]),
        Help.SPLIT: gettext("Operation %(step)s is split over two stations", step=operation),
        Help.AHEAD: gettext(
            "Operation %(step)s sends %(pieces)s pieces ahead at a time", step=operation, pieces=kept["pieces"]
        ),
        Help.FRONT: gettext("The lot goes before all others"),
        Help.PERSON: person,
        Help.BLANKS: ngettext(
            "Its blanks come %(num)d day sooner", "Its blanks come %(num)d days sooner", kept["days"]
        ),
    }
    return words[Help(kept["help"])]
