"""Whether the people there are enough each time a run begins, and where stations open again that are closed then."""

from collections.abc import Iterator, Sequence
from itertools import groupby

from app.core.plan_check.hours import Timeline
from app.core.plan_check.needs import Need, need_of
from app.core.plan_check.reopening import shortages
from app.core.plan_check.rows import Case, Load
from app.core.plan_check.violations import Rule, Violation, of_run
from app.core.shop import Crew


def violations(case: Case) -> Iterator[Violation]:
    """Yield each beginning for which the crews are too few."""
    crews = case.crews
    if crews is None:
        return
    needs = [(need_of(case, load), load) for loads in case.loads.values() for load in loads]
    going: list[Need] = []
    for start, begun in groupby(sorted(needs, key=_start), _start):
        together = list(begun)
        going = [need for need in (*going, *(need for need, _ in together)) if need.end > start]
        for need, load in together:
            if not load.run.under_way:
                missing = (*_shortages(case, need, going, crews), *shortages(case, need, going, start))
                yield from (of_run(Rule.PEOPLE, load.run, each) for each in missing)


def _start(each: tuple[Need, Load]) -> int:
    return each[0].start


def _shortages(case: Case, need: Need, going: Sequence[Need], crews: list[tuple[Crew, Timeline]]) -> Iterator[str]:
    """Compare what all that is attended in the second in which a run begins asks for with who is there."""
    start = need.start
    there = [crew for crew, timeline in crews if timeline.has(start)]
    attended = [one for one in going if case.hours[one.station].attended.has(start)]
    tend, tenders = sum(one.tend for one in attended), sum(crew.tenders for crew in there)
    if need.tend and tend > 1000 * tenders:
        yield f"{tend} thousandths of a person are needed and {tenders} people tend"
    setting, setters = sum(one.sets_up_at(start) for one in attended), sum(crew.setters for crew in there)
    if need.sets_up_at(start) and setting > setters:
        yield f"{setting} set up at once where {setters} can"
