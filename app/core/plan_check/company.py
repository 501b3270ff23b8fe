"""Why a batch waits: it begins as soon as a station and people are there, or waits for a lot that it may wait for.

Asked in every second in which its station has a reason to look: when it becomes free or opens, when something comes,
when people may have become free. It may wait for what is expected by then, comes within the bound of all that is in
the load, and fits. As a plan does not tell in which order work of one second was given out, it may have such a reason
before or after what else begins in that second. Where so much waits that a station need not look at all of it, nothing
is said.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from app.core.plan_check.at_stations import can_do, needed_setup
from app.core.plan_check.hands import Hands, Moment
from app.core.plan_check.hours import NeverDoneError
from app.core.plan_check.needs import Need
from app.core.plan_check.pieces import Stop
from app.core.plan_check.rows import Case, Load, Row
from app.core.plan_check.sharers import LOOK, Sharer, Waiting, filling, may_be_waited_for
from app.core.plan_check.violations import Rule, Violation, of_run
from app.core.plan_check.work import whole_seconds
from app.core.shop import OverClosed, Station


@dataclass(frozen=True, slots=True)
class Gap:
    """A stretch ``[first, last)`` in which a station does nothing, after ``before``."""

    station: Station
    first: int
    last: int
    before: Load | None


def violations(case: Case, stops: Mapping[str, list[Stop]], found: list[Sharer]) -> Iterator[Violation]:
    """Yield each batch that waits and should not; ``found`` are all operations that are done in batches."""
    if found:
        yield from _Waits(case, stops, found).violations()


class _Waits:
    """The batches of a plan, followed from second to second."""

    def __init__(self, case: Case, stops: Mapping[str, list[Stop]], found: list[Sharer]) -> None:
        self.case = case
        self.stops = stops
        self.hands = Hands(case)
        stations = case.shop.stations
        self.able = {one.key: [each for each in found if can_do(one, each.operation)] for one in stations}
        self.gaps = {one.key: list(self._gaps(one)) for one in stations if self.able[one.key]}
        self.told: set[Row] = set()

    def violations(self) -> Iterator[Violation]:
        """Yield what is wrong, once for each run."""
        for gaps in self.gaps.values():
            for gap in gaps:
                yield from self._of_gap(gap)

    def _gaps(self, station: Station) -> Iterator[Gap]:
        """Yield when a station does nothing, until the last batch that it could have done begins."""
        last = max((row.run.start for each in self.able[station.key] for row in each.rows), default=0)
        free, before = self.case.shop.now, None
        for load in self.case.loads[station.key]:
            if free < min(load.run.start, last):
                yield Gap(station, free, min(load.run.start, last), before)
            free, before = max(free, load.run.end), load
        if free < last:
            yield Gap(station, free, last, before)

    def _of_gap(self, gap: Gap) -> Iterator[Violation]:
        """Follow a gap from look to look: what is waited for ends a wait, whatever else comes has it looked at anew."""
        waits_until = gap.first
        comes = {one.ready for each in self.able[gap.station.key] for one in each.comings}
        hours = self.case.hours[gap.station.key].attended
        others = {start for start, _ in hours.within(gap.first, gap.last)} | self.hands.changes(gap.first, gap.last)
        for second in sorted({gap.first} | others | {one for one in comes if gap.first < one < gap.last}):
            if (second < waits_until and second not in comes) or not hours.has(second):
                continue
            could = self._leads(gap, (second, True))
            if could:
                expected = max(self._expected(gap, (second, late)) for late in (False, True))
                waits_until = max(second, expected)
                if expected < second and not self._crowded(gap.station, second):
                    yield from self._tell(could[0], gap.station, second)

    def _leads(self, gap: Gap, moment: Moment) -> list[Sharer]:
        """Return the operations with which the station could begin a batch."""
        return [each for each in self.able[gap.station.key] if self._could_begin(gap, each, moment)]

    def _could_begin(self, gap: Gap, sharer: Sharer, moment: Moment) -> bool:
        """Tell whether the station could begin a batch with what waits of an operation."""
        second = moment[0]
        if sharer.waiting(moment)[0] <= 0:
            return False
        station, operation, hours = gap.station, sharer.operation, self.case.hours[gap.station.key]
        before = None if gap.before is None else gap.before.first.operation
        family, fixture = station.set_up_for, station.set_up_fixture
        if before is not None:
            family, fixture = before.family, before.fixture
        setup_s, work_s = needed_setup(operation, family, fixture), whole_seconds(sharer.taking.time_ms)
        all_s = setup_s + work_s
        if station.over_closed is OverClosed.FIT and hours.attended.count(second, second + all_s) < all_s:
            return False
        try:
            set_up = hours.attended.done_at(second, setup_s)
            end = hours.running.done_at(set_up, work_s)
        except NeverDoneError:
            return False
        return self.hands.enough(moment, Need(station.key, second, end, operation.tend_permille, set_up))

    def _expected(self, gap: Gap, moment: Moment) -> int:
        """Return when the last lot comes for which a batch may wait, here or at another station; -1 for none."""
        leads = self._leads(gap, moment)
        found = [one for lead in leads for one in self._may_wait_for(self.able[gap.station.key], lead, moment)]
        for other in self._free_beside(gap.station, moment[0]):
            begins = [lead for lead in self._leads(other, moment) if lead in leads]
            found += [one for lead in begins for one in self._may_wait_for(self.able[other.station.key], lead, moment)]
        return max(found, default=-1)

    def _free_beside(self, station: Station, second: int) -> Iterator[Gap]:
        for key, gaps in self.gaps.items():
            if key != station.key and self.case.hours[key].attended.has(second):
                yield from (gap for gap in gaps if gap.first <= second < gap.last)

    def _may_wait_for(self, able: list[Sharer], lead: Sharer, moment: Moment) -> Iterator[int]:
        """Yield when each of the lots comes for which a batch that ``lead`` begins may wait."""
        company = [each for each in able if each is not lead and each.mixes_with(lead)]
        waiting = [Waiting(each, *each.waiting(moment)) for each in company if each.waiting(moment)[0] > 0]
        waiting.sort(key=lambda one: -one.until)
        load = filling(lead, moment)
        for each in (*company, lead):
            for one in each.comings:
                if one.known <= moment[0] < one.ready and may_be_waited_for(load, waiting, each, one):
                    yield one.ready

    def _crowded(self, station: Station, second: int) -> bool:
        """Tell whether so much else waits that the station may not have looked at all of it."""
        waiting = 0
        for lot_stops in self.stops.values():
            for stop in lot_stops:
                here = bool(stop.there) and stop.there[0] <= second and can_do(station, stop.operation)
                waiting += here and any(row.run.start > second for row in stop.rows)
        return waiting > LOOK

    def _tell(self, lead: Sharer, station: Station, second: int) -> Iterator[Violation]:
        row = lead.next_row((second, True))
        if row is None or row in self.told:
            return
        self.told.add(row)
        why = self._why_not(lead, row, self.able[station.key], second)
        where = "" if row.run.station == station.key else f" at {station.key}"
        yield of_run(Rule.BATCH_WAIT, row.run, f"it could begin at {second}{where} and {why}")

    def _why_not(self, lead: Sharer, row: Row, able: list[Sharer], second: int) -> str:
        """Say why a batch may not wait for what it seems to have waited for: what comes next before it begins."""
        load = filling(lead, (second, True))
        coming = [(one.ready, each.lot.key, one) for each in able if each.mixes_with(lead) for one in each.comings]
        following = [each for each in coming if second < each[0] <= row.run.start]
        if not following:
            return "waits for nothing that comes"
        ready, key, one = min(following, key=lambda each: each[:2])
        if one.known > second:
            return f"waits for lot {key}, which is not expected before {one.known}"
        if ready > load.until:
            return f"waits for lot {key} until {ready}, though no longer than until {load.until}"
        return f"waits for lot {key}, though {'it is full' if load.full else 'that does not fit with what waits'}"
