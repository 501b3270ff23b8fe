"""What would help late lots, and what if, in words, made when they are shown: in the reader's language."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from app.core.planning.helping import Help
from app.schedule.models import WhatIf
from app.schedule.queries.hours import moment_of
from app.shared.words import day_and_time, gettext, moment, ngettext, short_day


def in_one_step(kept: Mapping[str, Any]) -> bool:
    """Say whether a remedy can be applied with one press: all but sooner blanks that nobody has ordered."""
    return Help(kept["help"]) is not Help.BLANKS or bool(kept.get("purchases"))


def remedy_words(kept: Mapping[str, Any]) -> str:
    """Say what is to be done."""
    lot, operation = kept["lot"], f"{kept['operation']} {kept['title']}".strip()
    about = {"lot": lot, "step": operation, "station": kept["station"]}
    words = {
        Help.OVERTIME: gettext(
            "%(station)s works overtime from %(start)s to %(end)s",
            station=kept["station"],
            start=moment(moment_of(kept["start"])),
            end=moment(moment_of(kept["end"])),
        ),
        Help.ELSEWHERE: gettext("Operation %(step)s of lot %(lot)s goes to %(station)s", **about),
        Help.SPLIT: gettext("Operation %(step)s of lot %(lot)s is split over two stations", **about),
        Help.AHEAD: ngettext(
            "Operation %(step)s of lot %(lot)s sends each piece ahead",
            "Operation %(step)s of lot %(lot)s sends %(num)d pieces ahead at a time",
            kept["pieces"] or 0,
            **about,
        ),
        Help.FRONT: gettext("Lot %(lot)s goes before all others", lot=lot),
        Help.PERSON: _person_words(kept),
        Help.BLANKS: _sooner_words(kept),
    }
    return words[Help(kept["help"])]


def _sooner_words(kept: Mapping[str, Any]) -> str:
    """Say when blanks come: on which day, where a vendor can be asked for one."""
    if not in_one_step(kept):
        return ngettext(
            "The blanks of lot %(lot)s come %(num)d day sooner",
            "The blanks of lot %(lot)s come %(num)d days sooner",
            kept["days"],
            lot=kept["lot"],
        )
    days = [
        gettext("%(vendor)s delivers on %(day)s", vendor=each["vendor"], day=short_day(date.fromisoformat(each["day"])))
        for each in kept["purchases"]
    ]
    return gettext("Blanks of lot %(lot)s: %(days)s", lot=kept["lot"], days=", ".join(dict.fromkeys(days)))


def _person_words(kept: Mapping[str, Any]) -> str:
    """Say who does what instead from now on."""
    return gettext("%(moved)s, until you change it back", moved=_moved_words(kept))


def _moved_words(kept: Mapping[str, Any]) -> str:
    """Say who does what instead."""
    named = {"crew": kept["crew"], "source": kept["source"]}
    if kept["source"] and kept["setters"] > 0:
        return gettext("One of those who set up moves from the shift %(source)s to the shift %(crew)s", **named)
    if kept["source"]:
        return gettext("One of those who load and tend moves from the shift %(source)s to the shift %(crew)s", **named)
    if kept["setters"] > 0:
        return gettext("In the shift %(crew)s one of those who load and tend sets up instead", **named)
    return gettext("In the shift %(crew)s one of those who set up loads and tends instead", **named)


def what_if_words(asked: Mapping[str, Any]) -> str:
    """Say what a question takes to be different."""
    match WhatIf(asked["change"]):
        case WhatIf.DOWN:
            until = day_and_time(moment_of(asked["until"]))
            return gettext("If %(station)s were down until %(until)s", station=asked["station"], until=until)
        case WhatIf.CLOSED:
            return gettext("If the shop were closed on %(day)s", day=short_day(date.fromisoformat(asked["day"])))
        case WhatIf.PERSON:
            return _missing_words(asked)
        case WhatIf.RUSH:
            due = gettext(", due %(day)s", day=short_day(date.fromisoformat(asked["due"]))) if asked["due"] else ""
            wanted = {"pieces": asked["quantity"], "part": asked["part"]}
            return gettext("If a rush order of %(pieces)s %(part)s came", **wanted) + due


def _missing_words(asked: Mapping[str, Any]) -> str:
    """Say who is missing where."""
    if asked["crew"]:
        if asked["setter"]:
            return gettext("If one who sets up were missing in the shift %(crew)s", crew=asked["crew"])
        return gettext("If one who loads and tends were missing in the shift %(crew)s", crew=asked["crew"])
    if asked["setter"]:
        return gettext("If one who sets up were missing in every shift")
    return gettext("If one who loads and tends were missing in every shift")
