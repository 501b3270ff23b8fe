"""A bare event loop that other figures of a run are printed beside: it tells how fast the machine is at that moment.

It has calendars and no other rule: one station for each operation, first come first served, no set-up, no pieces, no
reasons.
"""

from bisect import bisect_left, bisect_right
from collections import deque
from collections.abc import Iterable, Sequence
from heapq import heappop, heappush
from itertools import accumulate


class BareCalendar:
    """Open spans as plain lists, laid out beforehand."""

    def __init__(self, spans: Iterable[tuple[int, int]]) -> None:
        laid_out = list(spans)
        self.starts, self.ends = [start for start, _ in laid_out], [end for _, end in laid_out]
        self.before = [0, *accumulate(end - start for start, end in laid_out)]

    def finish(self, start: int, work: int) -> int:
        """Return when work begun at or after ``start`` ends."""
        at = bisect_right(self.ends, start)
        begin = max(start, self.starts[at])
        total = self.before[at] + begin - self.starts[at] + work
        last = bisect_left(self.before, total) - 1
        return self.starts[last] + total - self.before[last]


def bare_loop(jobs: Sequence[Sequence[tuple[int, int]]], calendars: Sequence[BareCalendar], now: int) -> int:
    """Return when the last of the jobs' (station, seconds of work) ends, each station with its calendar."""
    queues: list[deque[tuple[int, int]]] = [deque() for _ in calendars]
    idle = [True] * len(calendars)
    events = [(now, number, 0) for number in range(len(jobs))]
    last = now
    while events:
        now, number, step = heappop(events)
        touched = []
        if step:
            station = jobs[number][step - 1][0]
            idle[station] = True
            touched.append(station)
        if step < len(jobs[number]):
            station = jobs[number][step][0]
            queues[station].append((number, step))
            touched.append(station)
        for station in touched:
            if idle[station] and queues[station]:
                job, operation = queues[station].popleft()
                last = calendars[station].finish(now, jobs[job][operation][1])
                idle[station] = False
                heappush(events, (last, job, operation + 1))
    return last
