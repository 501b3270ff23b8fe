"""Whether a run that begins leaves the stations that are closed then the people whom they want when they open next."""

from collections.abc import Iterator, Sequence

from app.core.plan_check.hours import NeverDoneError
from app.core.plan_check.needs import Need
from app.core.plan_check.rows import Case


def shortages(case: Case, need: Need, begun: Sequence[Need], second: int) -> Iterator[str]:
    """Yield what will be missing where a run that begins at a second still holds people at such an opening.

    Args:
        case: the shop and its plan.
        need: what the run asks for.
        begun: what all that is begun by then asks for; ``need`` itself is among them, or is not begun.
        second: when the run begins.
    """
    others = [one for one in begun if one is not need]
    kept = [(opening, one) for one in others if (opening := _reopens(case, one, second)) is not None]
    for opening in sorted({opening for opening, _ in kept}):
        if _attended(case, need, opening):
            wanted = [one for second, one in kept if second == opening]
            yield from _at(case, need, wanted, others, opening)


def _reopens(case: Case, need: Need, second: int) -> int | None:
    """Return when a station opens next that is closed at a second and keeps a run, if that is not over by then."""
    attended = case.hours[need.station].attended
    try:
        opening = attended.next(second)
    except NeverDoneError:
        return None
    return opening if second < opening < need.end else None


def _attended(case: Case, need: Need, second: int) -> bool:
    return case.hours[need.station].attended.has(second)


def _at(case: Case, need: Need, wanted: Sequence[Need], others: Sequence[Need], opening: int) -> Iterator[str]:
    """Yield whom a run and all that is begun need at an opening beyond those who are there.

    Only those whom what is kept for the opening wants too, and who would be enough for the run alone. Of what begins in
    the same second, what they would not be enough for may have begun after it.
    """
    crews = [crew for crew, timeline in case.crews or () if timeline.has(opening)]
    tenders, setters = 1000 * sum(crew.tenders for crew in crews), sum(crew.setters for crew in crews)
    with_it = [one for one in others if _attended(case, one, opening)]
    if 0 < need.tends_at(opening) <= tenders and any(one.tends_at(opening) for one in wanted):
        before = [one for one in with_it if one.start < need.start or one.tend <= tenders]
        tend = need.tend + sum(one.tends_at(opening) for one in before)
        if tend > tenders:
            yield f"{tend} thousandths of a person are needed at the opening {opening} and {tenders} are there"
    if need.sets_up_at(opening) and setters and any(one.sets_up_at(opening) for one in wanted):
        setting = 1 + sum(one.sets_up_at(opening) for one in with_it)
        if setting > setters:
            yield f"{setting} set up at the opening {opening} where {setters} can"
