"""What the invented shop measured: believable readings of its half year, a bad piece with its disposition, a drift.

Readings of the past are written as rows, since there are many; what they lead to goes through the services.
"""

import random
from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING, Final

import sqlalchemy as sa

from app.core.quality.tolerances import Standing
from app.lots.models import Job, JobState, LotCharacteristic, LotOperation
from app.lots.services import begin, count_so_far, pause, record_earlier
from app.quality import queries
from app.quality.models import Gauge, Nonconformance, Outcome, Reading
from app.quality.services import NewDisposition, NewReading, dispose, record_reading, say_all_checked
from seed_demo.control_plans import OVERDUE, PLANS, UNCALIBRATED, Planned
from seed_demo.world import StationRun, World, moment, second_of

if TYPE_CHECKING:
    from seed_demo.present import Present

HOUR, DAY = 3600, 86_400
SEED: Final = 31
WORST: Final = 0.94
"""No reading of the past is further out than so many half tolerances, but the ones that are meant to be."""
DRIFTS = "NJ-2030"
GOES_OUT, OUT_DAYS_AGO = "NJ-2010", 48
IN_HAND, BENCH = "PT-5033", "Inspection bench"
SEVERAL: Final = 20
"""Of so many pieces a few can be suspect and the rest goes on."""
GOOD_SO_FAR: Final = 4
MEASURED_SO_FAR: Final = 7


class Measuring:
    """The readings of the demo."""

    def __init__(self, world: World) -> None:
        self.world = world
        self.rng = random.Random(SEED)  # its own, so that the rest of the history stays as it was
        self.goes_out = ""
        """The part of which the next piece measured is out of tolerance."""
        self.gauges: dict[int, int] = {}

    def plan(self) -> None:
        """Let one piece of the past be found out of tolerance."""
        world = self.world
        world.at(world.end - OUT_DAYS_AGO * DAY, lambda: setattr(self, "goes_out", GOES_OUT))

    def before_sign_off(self, jobs: Iterable[Job], station: StationRun, who: str) -> None:
        """Measure what a sign-off of all pieces of some jobs will ask for."""
        for job in jobs:
            if job.operation.measured:
                self._measure(job, station, who)

    def _measure(self, job: Job, station: StationRun, who: str) -> None:
        world = self.world
        operation = queries.measured_operation(world.session, job.operation_id)
        owed = queries.owed_if_done(world.session, operation, moment(world.now))
        made = owed.made.made
        times = self._times(station, second_of(job.state_since))
        for item in owed.items:
            if item.owed.times:
                taken = [(1 + (made - 1) * nth // max(1, len(times) - 1), at) for nth, at in enumerate(times)]
            else:
                taken = self._evenly([window.first for window in item.owed.pieces], second_of(job.begun_at))
            self._take(item.characteristic, taken, station.id, who)
        if owed.word_due:
            say_all_checked(world.session, world.act(who, station.id), operation.id)
        if self.goes_out == operation.lot.revision.part.number and job.pieces >= SEVERAL:
            self.goes_out = ""
            self._find_one_out(operation, owed.items[0].characteristic, station, who)

    def _times(self, station: StationRun, begun: int) -> list[int]:
        """Return when somebody measures in a run by the shift: each two hours that the station is open, and last."""
        spans = station.calendar.spans(begun, self.world.now)
        each_two_hours = (at for span in spans for at in range(span.start, span.end, 2 * HOUR))
        return sorted({*each_two_hours, *(span.end - 1 for span in spans), self.world.now - 1})

    def _evenly(self, pieces: Sequence[int], begun: int) -> list[tuple[int, int]]:
        """Return pieces with when each is measured, evenly since the run began."""
        step = max(1, (self.world.now - begun) // max(1, len(pieces)))
        return [(piece, min(self.world.now - 1, begun + nth * step)) for nth, piece in enumerate(pieces)]

    def _take(
        self, characteristic: LotCharacteristic, taken: Iterable[tuple[int, int]], station_id: int, who: str
    ) -> None:
        """Write good readings of some pieces, each at its second."""
        plan, lot_is = self._plan(characteristic), self.rng.gauss(0, 0.12)
        for piece, second in taken:
            at = moment(second)
            reading = Reading(
                characteristic_id=characteristic.id,
                piece=piece,
                serial="",
                typed="",
                standing=Standing.GOOD,
                gauge_id=self._gauge(characteristic),
                station_id=station_id,
                person_id=self.world.people[who].id,
                happened_at=at,
                recorded_at=at,
                client_key=self.world.act(who).key,
                content_hash="",
                struck_reason="",
            )
            if characteristic.is_measured:
                reading.value = self._value(characteristic, plan, piece, lot_is)
                reading.typed = str(reading.value)
            else:
                reading.met = True
            self.world.session.add(reading)

    def _value(self, characteristic: LotCharacteristic, plan: Planned, piece: int, lot_is: float) -> Decimal:
        limits = characteristic.limits
        low = limits.lower if limits.lower is not None else Decimal(0)
        high = limits.upper if limits.upper is not None else low
        if limits.lower is None:  # a flatness: never below zero, mostly well below its limit
            return round(high * Decimal(min(0.9, abs(self.rng.gauss(0.35, 0.15)))), limits.places)
        wear = plan.wear * (piece / characteristic.operation.lot.started - 0.3)
        share = self.rng.gauss(0, plan.scatter) + lot_is + wear
        middle, half = (low + high) / 2, (high - low) / 2
        return round(middle + half * Decimal(max(-WORST, min(WORST, share))), limits.places)

    def _plan(self, characteristic: LotCharacteristic) -> Planned:
        part = characteristic.operation.lot.revision.part.number
        return [each for each in PLANS if each.part == part][characteristic.number - 1]

    def _gauge(self, characteristic: LotCharacteristic) -> int | None:
        """Return the gauge that the shop uses: the first of its kind that may be used."""
        kind_id = characteristic.gauge_kind_id
        if kind_id is None:
            return None
        if kind_id not in self.gauges:
            usable = sa.select(Gauge.id).where(Gauge.kind_id == kind_id, Gauge.name.not_in((OVERDUE, UNCALIBRATED)))
            self.gauges[kind_id] = self.world.session.scalars(usable.order_by(Gauge.id)).first() or 0
        return self.gauges[kind_id] or None

    def _find_one_out(
        self, operation: LotOperation, characteristic: LotCharacteristic, station: StationRun, who: str
    ) -> None:
        """Find the last piece out, scrap it, and use those made with it as they are, as the customer agrees."""
        self.world.session.flush()
        read = sa.select(sa.func.max(Reading.piece)).where(Reading.characteristic_id == characteristic.id)
        last = self.world.session.scalars(read).one()  # the last piece read: those since the one before are suspect
        found = self._read_out(operation, characteristic, station.id, who, last)
        if found is None:
            return
        session, at = self.world.session, found.found_at_id
        why, cost = "insert chipped on the last tool", Decimal("74.50")
        scrap = NewDisposition(Outcome.SCRAP, 1, found.left, at, why, cost=cost)
        dispose(session, self.world.act("IC", station.id), found.id, scrap)
        if found.left:
            left, agreed = found.left, "J. Abara, Nightjar Instruments, by mail"
            rest = NewDisposition(Outcome.USE_AS_IS, left, left, at, "all read again: good", agreed_by=agreed)
            dispose(session, self.world.act("IC", station.id), found.id, rest)

    def _read_out(
        self, operation: LotOperation, characteristic: LotCharacteristic, station_id: int, who: str, piece: int | None
    ) -> Nonconformance | None:
        """Take one reading that lies a fifth of the tolerance beyond its upper limit."""
        limits = characteristic.limits
        if limits.upper is None or limits.lower is None:
            return None
        beyond = round(limits.upper + (limits.upper - limits.lower) / 5, limits.places)
        made = queries.made_by_now(self.world.session, operation, moment(self.world.now))
        new = NewReading(characteristic.id, str(beyond), piece=piece or made.made, gauge_id=self._gauge(characteristic))
        return record_reading(self.world.session, self.world.act(who, station_id), operation.id, new).nonconformance

    def measure_what_runs(self) -> None:
        """Write down what was measured so far of what runs at the present."""
        world, now = self.world, moment(self.world.now)
        people = {person.id: initials for initials, person in world.people.items()}
        jobs = world.session.scalars(sa.select(Job).where(Job.state == JobState.RUNNING)).all()
        for job in [each for each in jobs if each.operation.measured]:
            operation = queries.measured_operation(world.session, job.operation_id)
            for item in queries.measuring(world.session, operation, now).items:
                taken = self._evenly([window.first for window in item.owed.pieces], second_of(job.begun_at))
                self._take(item.characteristic, taken, job.station_id, people[job.person_id or 0])
        world.session.flush()

    def measure_one_in_hand(self, present: "Present") -> None:
        """Have a lot at the inspection bench, some pieces measured, the last of them out: its lot is on hold."""
        world, session = self.world, self.world.session
        world.now = world.arranged_from
        present.floor.by_pen = True  # no mill takes it up: it is at the bench already
        lot = present.order_with_blanks(IN_HAND, 24, days=12, rush=False)
        present.floor.by_pen = False
        operation = next(each for each in lot.operations if each.measured)
        bench = next(each for each in world.stations if each.name == BENCH)
        for job in session.scalars(sa.select(Job).where(Job.station_id == bench.id)).all():
            if job.state is not JobState.PAUSED:
                pause(session, world.act("IC", bench.id), job.operation_id)
        record_earlier(session, world.act("DL"), operation.id, lot.started)
        begin(session, world.act("IC", bench.id), [operation.id])
        begun, world.now = world.now, min(world.now + 20 * 60, world.end - 60)
        count_so_far(session, world.act("IC", bench.id), operation.id, MEASURED_SO_FAR)
        measured = queries.measured_operation(session, operation.id)
        for characteristic in measured.characteristics:
            pieces = range(1, GOOD_SO_FAR + 1) if characteristic.is_measured else [1]
            self._take(characteristic, self._evenly(list(pieces), begun), bench.id, "IC")
        session.flush()
        self._read_out(measured, measured.characteristics[0], bench.id, "IC", MEASURED_SO_FAR)
