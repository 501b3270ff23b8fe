"""Whether the people there in a second would be enough for one more run."""

from bisect import bisect_left, bisect_right

from app.core.plan_check.needs import Need, need_of
from app.core.plan_check.reopening import shortages
from app.core.plan_check.rows import Case

_AT_ONCE = 3
"""No station has more loads than two pallets at once; one more is looked at."""

Moment = tuple[int, bool]
"""A second, and whether what begins in it has begun: what begins there one after another is not told in a plan."""


class Hands:
    """The crews of a shop, and whom the loads of a plan hold."""

    def __init__(self, case: Case) -> None:
        self._case = case
        self._crews = case.crews
        self._needs = (
            [] if case.crews is None else [[need_of(case, one) for one in each] for each in case.loads.values()]
        )
        self._ends = sorted({end for needs in self._needs for need in needs for end in (need.end, need.setup_ends)})
        self._starts = [[need.start for need in needs] for needs in self._needs]

    def enough(self, moment: Moment, need: Need) -> bool:
        """Tell whether a run that begins at a moment has its people."""
        second = moment[0]
        if self._crews is None:
            return True
        there = [crew for crew, timeline in self._crews if timeline.has(second)]
        begun = self._begun(moment)
        busy = [one for one in begun if self._case.hours[one.station].attended.has(second)]
        setting = sum(one.sets_up_at(second) for one in busy)
        if need.sets_up_at(second) and setting >= sum(crew.setters for crew in there):
            return False
        tend = need.tend + sum(one.tend for one in busy)
        if need.tend and tend > 1000 * sum(crew.tenders for crew in there):
            return False
        return not any(shortages(self._case, need, begun, second))

    def changes(self, first: int, last: int) -> set[int]:
        """Return the seconds of ``[first, last)`` in which there may be more people than before."""
        if self._crews is None:
            return set()
        found = set(self._ends[bisect_left(self._ends, first) : bisect_left(self._ends, last)])
        for _, timeline in self._crews:
            found |= {start for start, _ in timeline.within(first, last)}
        held_until = min([last, *self._ends[-1:]])  # after the last load nobody is held by any
        for hours in {*self._case.hours.values()} if first < held_until else ():
            found |= {end for _, end in hours.attended.within(first, held_until)}
        return {second for second in found if first <= second < last}

    def _begun(self, moment: Moment) -> list[Need]:
        """Return what the loads ask for that are begun and not over at a moment."""
        second, late = moment
        found = []
        for needs, starts in zip(self._needs, self._starts, strict=True):
            begun = bisect_right(starts, second) if late else bisect_left(starts, second)
            found += [need for need in needs[max(0, begun - _AT_ONCE) : begun] if need.end > second]
        return found
