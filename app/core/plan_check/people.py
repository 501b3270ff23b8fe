"""Whether the people there are enough each time a run begins."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from app.core.plan_check.hours import NeverDoneError, Timeline
from app.core.plan_check.rows import Case, Load
from app.core.plan_check.violations import Rule, Violation, of_run
from app.core.plan_check.work import cycle_ms
from app.core.shop import Crew, Operation, Station
from app.core.taking import PalletLoad


@dataclass(frozen=True, slots=True)
class Need:
    """What a load asks of people: thousandths of one to its end, and one who sets up until the set-up is done."""

    load: Load
    tend: int
    setup_ends: int


def violations(case: Case) -> Iterator[Violation]:
    """Yield each beginning for which the crews are too few."""
    crews = case.crews
    if crews is None:
        return
    needs = [need_of(case, load) for loads in case.loads.values() for load in loads]
    going: list[Need] = []
    for start, begun in groupby(sorted(needs, key=_start), _start):
        together = list(begun)
        going = [need for need in (*going, *together) if need.load.run.end > start]
        for need in together:
            if not need.load.run.under_way:
                yield from _shortage(case, need, going, crews)


def _start(need: Need) -> int:
    return need.load.run.start


def need_of(case: Case, load: Load) -> Need:
    """Return what a load asks of people."""
    return Need(load, tended(load.first.operation, load.first.station), _setup_ends(case, load))


def tended(operation: Operation, station: Station | None) -> int:
    """Return the thousandths of a person that an operation takes at a station."""
    taking = operation.taking
    if not isinstance(taking, PalletLoad) or station is None:
        return operation.tend_permille
    handling = taking.load_ms + taking.unload_ms
    whole = handling + cycle_ms(taking.cycle_ms, station)
    return max(operation.tend_permille, -(-1000 * handling // whole))


def _setup_ends(case: Case, load: Load) -> int:
    """Return when the set-up of a load is done."""
    try:
        return case.hours[load.run.station or ""].attended.done_at(load.run.start, load.run.setup_s)
    except NeverDoneError:
        return load.run.end


def _shortage(case: Case, need: Need, others: list[Need], crews: list[tuple[Crew, Timeline]]) -> Iterator[Violation]:
    """Compare what all that is attended in a second asks for with who is there."""
    start = need.load.run.start
    there = [crew for crew, timeline in crews if timeline.has(start)]
    attended = [one for one in others if case.hours[one.load.run.station or ""].attended.has(start)]
    tend, tenders = sum(one.tend for one in attended), sum(crew.tenders for crew in there)
    if need.tend and tend > 1000 * tenders:
        yield of_run(Rule.PEOPLE, need.load.run, f"{tend} thousandths of a person are needed and {tenders} people tend")
    setting, setters = sum(one.setup_ends > start for one in attended), sum(crew.setters for crew in there)
    if need.setup_ends > start and setting > setters:
        yield of_run(Rule.PEOPLE, need.load.run, f"{setting} set up at once where {setters} can")
