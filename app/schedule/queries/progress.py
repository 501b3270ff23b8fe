"""How far open jobs have got: a fold over what was said at a station, whose hours go to one load after another.

A run is what follows a set-up, or a beginning without one. By the cycle times it would be done at some second; a count
says where it really is, so its work is put there and hours go on adding.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import NamedTuple

from app.core.planning.takings import done_ms, seconds
from app.core.shop import Station, Taking
from app.core.work_hours import WorkHours
from app.lots.models import Verb

_SAYS_WHERE_WORK_IS = {Verb.COUNT, Verb.SEND_AHEAD, Verb.SIGN_OFF}
_HEARD = {Verb.BEGIN_SETUP, Verb.BEGIN_RUN, Verb.PAUSE, *_SAYS_WHERE_WORK_IS}


class Mark(NamedTuple):
    """Something said at a station about a job: so many of its pieces were made by then; ``gone``: none is there."""

    verb: Verb
    second: int
    made: int = 0
    gone: bool = False


@dataclass(frozen=True, slots=True)
class Begun:
    """A job at a station, which is open or ended beside one that is.

    Attributes:
        taking: how its operation takes pieces.
        station: where it is.
        pieces: all that it ever had, but for those taken off it before they were made.
        setup_s: seconds that its set-up takes.
        load: the same for the jobs of one shared load.
    """

    taking: Taking
    station: Station
    pieces: int
    setup_s: int
    load: object


class Progress(NamedTuple):
    """How far a job has got: seconds of set-up and of work, or of work alone, of its run; pieces of the run made."""

    worked_s: int
    in_setup: bool
    paused: bool
    counted: int = 0


def progress(jobs: Sequence[Begun], marks: Iterable[tuple[int, Mark]], hours: WorkHours, now: int) -> list[Progress]:
    """Return how far the jobs of a station have got, in the order in which they were begun.

    ``marks`` are about the jobs at the places told, in order. Between two of them the hours are those of the jobs that
    run, load by load: the next one's from when the one before should be done. What goes on longer is the last one's.
    """
    states = [_State(job) for job in jobs]
    loads = [list(load) for _, load in groupby(states, key=lambda state: state.job.load)]
    at: int | None = None
    for place, mark in marks:
        if mark.verb in _HEARD or mark.gone:
            _pass(loads, hours, mark.second if at is None else at, mark.second)
            at = mark.second
        states[place].hear(mark)
    if at is not None:
        _pass(loads, hours, at, now)
    return [state.progress() for state in states]


def _pass(loads: Sequence[Sequence["_State"]], hours: WorkHours, start: int, end: int) -> None:
    """Let the hours from a second to another pass."""
    running = [[state for state in load if state.running] for load in loads]
    going = [load for load in running if load]
    for place, load in enumerate(going):
        is_last = place == len(going) - 1
        start = max([state.spend(hours, start, end, is_last=is_last) for state in load])


@dataclass(slots=True)
class _State:
    """A job on the way through its marks; ``earlier`` of the pieces made were made before its run."""

    job: Begun
    setup_s: int = 0
    work_s: int = 0
    in_setup: bool = False
    running: bool = False
    made: int = 0
    earlier: int = 0

    @property
    def setup_left(self) -> int:
        """Seconds of set-up that are left; what goes on longer without a word is work."""
        return max(0, self.job.setup_s - self.setup_s) if self.in_setup else 0

    def work_of(self, pieces: int) -> int:
        """Return the seconds of work after which the first pieces of the run are done."""
        whole = self.job.pieces - self.earlier
        pieces = min(pieces, whole)
        return seconds(done_ms(self.job.taking, self.job.station, pieces, whole)) if pieces > 0 else 0

    def spend(self, hours: WorkHours, start: int, end: int, *, is_last: bool) -> int:
        """Take hours, and return from when on they are another load's."""
        setup_s = self.setup_left
        work_s = max(0, self.work_of(self.job.pieces) - self.work_s)
        spent, done_at = hours.spent(start, end, setup_s, work_s)
        if is_last and done_at < end:
            spent = hours.worked(start, end, setup_s)
        in_setup_s = min(spent, setup_s)
        self.setup_s += in_setup_s
        self.work_s += spent - in_setup_s
        return done_at

    def hear(self, mark: Mark) -> None:
        """Take in what was said."""
        # What goes on that was counted before says nothing new.
        is_new = mark.verb is Verb.COUNT or mark.made != self.made
        self.made, self.earlier = mark.made, min(self.earlier, mark.made)
        if mark.verb is Verb.BEGIN_SETUP:
            self.setup_s = self.work_s = 0
            self.in_setup = self.running = True
            self.earlier = mark.made
        elif mark.verb is Verb.BEGIN_RUN:
            self._run()
        elif mark.verb is Verb.PAUSE:
            self.running = False
        elif mark.verb in _SAYS_WHERE_WORK_IS and is_new:
            self._count()
        self.running = self.running and not mark.gone

    def _run(self) -> None:
        if self.in_setup:
            self.in_setup, self.setup_s = False, 0
            self.work_s = self.work_of(self.made - self.earlier)
        self.running = True

    def _count(self) -> None:
        if self.setup_left:  # made to set it up: the run comes after
            self.earlier = self.made
        else:
            self.work_s = self.work_of(self.made - self.earlier)

    def progress(self) -> Progress:
        """Return how far the job has got."""
        return Progress(self.setup_s + self.work_s, self.in_setup, not self.running, self.made - self.earlier)
