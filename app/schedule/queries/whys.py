"""The forecast's reasons in words: made when they are shown, so that they come in the reader's language."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from itertools import accumulate, pairwise
from typing import Any, Final, NamedTuple

from app.core.planning.results import Cause
from app.lots.models import Lot
from app.schedule.models import LotForecast, Outlook
from app.schedule.queries.blanks import Promised
from app.schedule.queries.obstacles import stored_obstacle_words
from app.shared.words import duration, gettext, moment, ngettext, short_day

NAMED: Final = 3
"""So many lots ahead are named; the others are counted."""
WORTH_SAYING_S: Final = 900
"""A shorter wait is no reason for anything."""

Wait = Mapping[str, Any]
"""One reason of a lot's chain, as ``LotForecast.waits`` keeps it."""


class Said(NamedTuple):
    """One reason in words and the whole minutes that it takes."""

    minutes: int
    sentence: str


def chain_words(waits: Sequence[Wait], finish_at: datetime) -> list[Said]:
    """Return the whole chain from now to the finish in words, each with its whole minutes.

    They are differences of minutes as a clock shows them: so they add up to what lies between the times on the page.
    """
    begun = int(finish_at.timestamp()) - sum(wait["seconds"] for wait in waits)
    passed = [second // 60 for second in accumulate((wait["seconds"] for wait in waits), initial=begun)]
    return [Said(end - begin, _sentence(wait)) for (begin, end), wait in zip(pairwise(passed), waits, strict=True)]


def why(forecast: LotForecast) -> list[str]:
    """Return the short plain reasons for when a lot is finished, the weightiest first; none where nothing waits."""
    if forecast.outlook is Outlook.NO_COMPONENTS:
        return [_components(wait) for wait in forecast.waits]
    if forecast.outlook is not Outlook.EXPECTED:
        return [stored_obstacle_words(forecast.obstacle)] if forecast.obstacle else []
    reasons = _too_long(forecast)
    waits = sorted(_gathered(forecast.waits), key=lambda wait: -wait[0])
    return reasons + [sentence for seconds, sentence in waits if seconds >= WORTH_SAYING_S]


def _too_long(forecast: LotForecast) -> list[str]:
    """Say where the work itself, with nothing in its way, ends after the due time."""
    bare, due = forecast.bare_finish_at, forecast.due_at
    if bare is None or due is None or forecast.finish_at is None or bare <= due:
        return []
    now = forecast.finish_at - timedelta(seconds=sum(wait["seconds"] for wait in forecast.waits))
    if due <= now:
        return [gettext("Past due already; the work alone takes until %(when)s", when=moment(bare))]
    return [gettext("The work alone takes until %(when)s: longer than the time left", when=moment(bare))]


def turn_words(lot: Lot, *, ranked: bool = False) -> str:
    """Say what decides when it is a lot's turn; ``ranked`` where an accepted plan does."""
    if lot.pin is not None:
        return gettext("Pinned to place %(place)s", place=lot.pin)
    if ranked:
        return gettext("By the accepted plan")
    turn = _turn_by_due(lot)
    return turn[:1].upper() + turn[1:]


def lot_turn_words(lot: Lot, turns: Sequence[tuple[int, bool]]) -> str:
    """Say what decides when it is a lot's turn at all stations; ``turns`` as ``turns_of`` returns them."""
    ranked = [str(number) for number, by_plan in turns if by_plan]
    if lot.pin is not None or len(ranked) in {0, len(turns)}:
        return turn_words(lot, ranked=bool(ranked))
    return ngettext(
        "By the accepted plan at operation %(numbers)s, otherwise %(turn)s",
        "By the accepted plan at operations %(numbers)s, otherwise %(turn)s",
        len(ranked),
        numbers=", ".join(ranked),
        turn=_turn_by_due(lot),
    )


def _turn_by_due(lot: Lot) -> str:
    """Say, for the middle of a sentence, what decides where neither a pin nor a plan does."""
    due = gettext("due %(day)s", day=short_day(lot.due_on)) if lot.due_on else gettext("no due date")
    return gettext("rush, %(due)s", due=due) if lot.rush else due


def _sentence(wait: Wait) -> str:
    words = {"station": wait.get("station", ""), "step": f"{wait['operation']} {wait.get('title', '')}".strip()}
    cause = Cause(wait["cause"])
    if cause is Cause.BLANKS:
        return _blanks(wait)
    if cause is Cause.COMPONENTS:
        return _components(wait)
    if cause is Cause.BUSY:
        return gettext("Waiting for %(station)s, busy with %(lots)s", lots=_lots([wait]), **words)
    sentences = {
        Cause.OUTSIDE: gettext("Done by others: operation %(step)s", **words) + _guessed(wait),
        Cause.RELEASE: gettext("Not released yet"),
        Cause.COMPANY: gettext("%(station)s waits for others of its batch", **words),
        Cause.MUST_FIT: gettext("%(station)s is free, but operation %(step)s would not end before it closes", **words),
        Cause.NO_PERSON: gettext("Nobody is free for operation %(step)s at %(station)s", **words),
        Cause.CLOSED: gettext("%(station)s is closed", **words),
        Cause.DOWN: gettext("%(station)s is down", **words) + _guessed(wait),
        Cause.SERVICE: gettext("%(station)s has its planned service", **words),
        Cause.SETUP: gettext("Set-up at %(station)s for operation %(step)s", **words),
        Cause.RUNNING: gettext("Operation %(step)s runs at %(station)s", **words),
    }
    return sentences[cause]


def _components(wait: Wait) -> str:
    day = short_day(date.fromisoformat(wait["day"])) if wait.get("day") else ""
    lot = wait.get("lot", "")
    needs = gettext(
        "Waiting for component %(part)s at operation %(number)s", part=wait["component"], number=wait["operation"]
    )
    match wait["promised"]:
        case Promised.NOT_ORDERED if wait["seconds"]:
            rest = gettext("nothing ordered; its lead time is counted from today")
        case Promised.NOT_ORDERED:
            rest = gettext("nothing ordered")
        case Promised.NOT_RELEASED:
            rest = gettext("no lot of it is released")
        case Promised.NO_FINISH:
            rest = gettext("nobody knows when lot %(lot)s will be done", lot=lot)
        case Promised.MADE:
            rest = gettext("lot %(lot)s makes it", lot=lot) + _guessed(wait)
        case Promised.OVERDUE:
            rest = gettext("it was expected %(day)s; when it comes is a guess", day=day)
        case _:
            rest = gettext("expected %(day)s", day=day) + _guessed(wait)
    return f"{needs}: {rest}"


def _guessed(wait: Wait) -> str:
    return gettext(" (its end is a guess)") if wait.get("guess") else ""


def _blanks(wait: Wait) -> str:
    day = short_day(date.fromisoformat(wait["day"])) if wait.get("day") else ""
    match wait.get("blanks"):
        case Promised.NOT_ORDERED:
            return gettext("Waiting for blanks, which are not ordered yet")
        case Promised.OVERDUE:
            return gettext("Waiting for blanks that were expected %(day)s; when they come is a guess", day=day)
        case Promised.EXPECTED:
            return gettext("Waiting for blanks, expected %(day)s", day=day)
        case _:
            return gettext("Waiting for blanks")


def _gathered(waits: Iterable[Wait]) -> Iterable[tuple[int, str]]:
    """Yield for how many seconds a lot waits and for what, each station's waits together.

    Work, set-up and closed hours are no waits.
    """
    waits = list(waits)
    by_cause: defaultdict[tuple[Cause, str], list[Wait]] = defaultdict(list)
    for wait in waits:
        by_cause[Cause(wait["cause"]), wait.get("station", "")].append(wait)
    for (cause, station), same in by_cause.items():
        seconds = sum(wait["seconds"] for wait in same)
        sentence = _gathered_sentence(cause, same, station=station, time=duration(seconds))
        if sentence:
            yield seconds, sentence


def _gathered_sentence(cause: Cause, same: list[Wait], **words: str) -> str:
    """Return what some waits with one cause at one station come to; nothing for what is no wait."""
    if cause in {Cause.BLANKS, Cause.COMPONENTS}:
        return f"{_sentence(same[-1])} ({words['time']})"
    if cause is Cause.BUSY:
        return gettext("Behind %(lots)s at %(station)s for %(time)s", lots=_lots(same), **words)
    sentences = {
        Cause.DOWN: gettext("%(station)s is down for %(time)s", **words)
        + _guessed({"guess": any(wait.get("guess") for wait in same)}),
        Cause.SERVICE: gettext("%(station)s has its planned service for %(time)s", **words),
        Cause.NO_PERSON: gettext("Nobody was free at %(station)s for %(time)s", **words),
        Cause.MUST_FIT: gettext("For %(time)s too little time was left before %(station)s closes to begin it", **words),
    }
    return sentences.get(cause, "")


def _lots(waits: Iterable[Wait]) -> str:
    """Name the lots that are ahead, those that take longest first; one without a name is the lot that waits."""
    ahead = Counter[str]()
    for wait in waits:
        for lot, seconds in wait.get("behind", ()):
            ahead[lot] += seconds
    own = gettext("its own earlier pieces")
    named = ", ".join(f"{lot or own} ({duration(seconds)})" for lot, seconds in ahead.most_common(NAMED))
    more = len(ahead) - NAMED
    if not named:
        return gettext("other work")
    return named + ngettext(" and %(num)d more lot", " and %(num)d more lots", more) if more > 0 else named
