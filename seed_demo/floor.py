"""The floor of the simulated shop: stations take the work that is due first, run it, scrap a little, pass it on."""

from collections.abc import Callable
from math import ceil

from app.lots.models import Lot, LotOperation
from app.lots.queries.planned import batch_pieces, planned_run_seconds
from app.lots.services import (
    ComponentSource,
    Scrap,
    SignOff,
    begin,
    first_piece_good,
    run,
    sign_off,
    use_component,
)
from app.parts.models import KindRole, Taking
from seed_demo.catalog import FITTED, STUDS, TAKES_BOUGHT
from seed_demo.measuring import Measuring
from seed_demo.world import StationRun, Work, World

REASONS = {
    "Milling": ("tool broke", "bore oversize", "moved in the fixture", "wall thin"),
    "Drilling": ("tap broke", "hole off location"),
    "Turning": ("diameter under", "chatter on the face"),
    "Pressing": ("stud not seated", "stand-out too high"),
    "Inspection": ("burr in bore", "thread gauge does not go", "out of flat"),
}
TAKES = FITTED | TAKES_BOUGHT
OPERATORS = ("DL", "MP", "IC", "TO")


class Floor:
    """Stations, the work that waits for them, and what goes out to others."""

    def __init__(self, world: World) -> None:
        self.world = world
        self.finished: Callable[[Lot], None] = lambda lot: None
        self.studs_in_stock: Callable[[], list[Lot]] = list
        self.measuring = Measuring(world)
        self.forgets_at = ""
        """The station whose next sign-off nobody makes; the job stays open there."""
        self.by_pen = False
        """What arrives meanwhile is worked on with the program down: no station takes it up here."""

    def arrived(self, operation: LotOperation) -> None:
        """Let pieces that wait at an operation be taken up: by a station, or by whoever does it outside."""
        world = self.world
        if not operation.waiting or self.by_pen:
            return
        if operation.kind.role is KindRole.OUTSIDE:
            back = world.now + int((operation.lead_days + world.rng.choice((-1, 0, 0, 0, 1, 2))) * 86_400)
            world.at(back, lambda: self._back_from_outside(operation))
            return
        queue = world.waiting.setdefault(operation.work_center_id or 0, [])
        if not any(work.operation is operation for work in queue):
            part = world.parts[operation.lot.revision.part.number]
            due = int(operation.lot.due_on.toordinal()) if operation.lot.due_on else 10**9
            queue.append(Work(operation, part, world.now, due))
        for station in world.stations:
            if station.work_center_id == operation.work_center_id and station.free_at <= world.now:
                self.look_for_work(station)

    def look_for_work(self, station: StationRun) -> None:
        """Begin what is due first among the work that waits for a free station."""
        world = self.world
        if station.runs or station.free_at > world.now or station.is_down(world.now):
            return
        opening = station.calendar.next_open(world.now)
        if opening > world.now:
            station.free_at = opening
            world.at(opening, lambda: self.look_for_work(station))
            return
        queue = [each for each in world.waiting.get(station.work_center_id, []) if self._can_begin(each, station)]
        if queue:
            first = min(queue, key=lambda work: (not work.operation.lot.rush, work.due, work.operation.lot.number))
            self._begin(station, self._batch(first, queue))

    def _can_begin(self, work: Work, station: StationRun) -> bool:
        operation = work.operation
        if operation.lot.on_hold or not operation.waiting:
            return False
        if operation.in_work and operation.job_at(station.id) is not None:
            return False  # nobody has signed off there what ran before these came back
        studs = wanted_of(STUDS, operation)
        return not studs or sum(lot.in_stock for lot in self.studs_in_stock()) >= studs

    def _batch(self, first: Work, queue: list[Work]) -> list[Work]:
        if first.operation.taking is not Taking.BATCH:
            return [first]
        chosen: list[Work] = []
        pieces = grams = 0
        for work in sorted(queue, key=lambda each: (each is not first, each.due)):
            operation = work.operation
            weight = operation.waiting * operation.lot.revision.piece_grams
            alone = not chosen
            fits = pieces + operation.waiting <= operation.load_pieces and grams + weight <= operation.batch_grams
            if operation.recipe == first.operation.recipe and operation.cycle_ms == first.operation.cycle_ms:
                if alone or fits:
                    chosen.append(work)
                    pieces, grams = pieces + operation.waiting, grams + weight
                if alone and operation.waiting > batch_pieces(operation, operation.lot.revision.piece_grams):
                    return chosen
        return chosen[:4]

    def _begin(self, station: StationRun, works: list[Work]) -> None:
        world, operation = self.world, works[0].operation
        queue = world.waiting[station.work_center_id]
        for work in works:
            queue.remove(work)
        who = world.rng.choice(OPERATORS)
        family = operation.lot.revision_id, operation.number
        setup = operation.setup_seconds if station.family != family else 0
        station.family = family
        self._take_components(operation, station)
        begin(world.session, world.act(who, station.id), [work.operation.id for work in works], setup=bool(setup))
        spread = world.rng.lognormvariate(0.03, 0.22)
        pieces = max(work.operation.in_work for work in works)
        planned = planned_run_seconds(operation, pieces, operation.lot.revision.piece_grams)
        took = ceil(planned * world.rng.lognormvariate(0.02, 0.12))
        runs_from = station.calendar.finish(world.now, ceil(setup * spread)) if setup else world.now
        done = station.calendar.finish(runs_from, max(60, took))
        station.free_at, station.runs = done, True
        if setup:
            world.at(runs_from, lambda: self._run(station, operation, who))
        elif operation.first_piece:
            self._first_piece(station, operation)
        operations = [work.operation for work in works]
        world.at(done, lambda: self._done(station, operations, who))

    def _run(self, station: StationRun, operation: LotOperation, who: str) -> None:
        if operation.job_at(station.id) is None:
            return  # split off or sent back meanwhile
        run(self.world.session, self.world.act(who, station.id), operation.id)
        if operation.first_piece:
            self._first_piece(station, operation)

    def _first_piece(self, station: StationRun, operation: LotOperation) -> None:
        first_piece_good(self.world.session, self.world.act("IC", station.id), operation.id)

    def _take_components(self, operation: LotOperation, station: StationRun) -> None:
        for number, receipt_id in self.world.bought.items():
            pieces = wanted_of(number, operation)
            if pieces:
                source = ComponentSource(receipt_id=receipt_id)
                use_component(self.world.session, self.world.act("DL", station.id), operation.id, source, pieces)
        wanted = wanted_of(STUDS, operation)
        for studs in self.studs_in_stock() if wanted else []:
            taken = min(wanted, studs.in_stock)
            if taken:
                source = ComponentSource(lot_id=studs.id)
                use_component(self.world.session, self.world.act("DL", station.id), operation.id, source, taken)
                wanted -= taken

    def _done(self, station: StationRun, operations: list[LotOperation], who: str) -> None:
        world = self.world
        station.runs = False
        if station.is_down(world.now):
            return
        if station.name == self.forgets_at:
            self.forgets_at = ""
            self.look_for_work(station)
            return
        found = [operation.job_at(station.id) for operation in operations]
        jobs = [job for job in found if job is not None]
        self.measuring.before_sign_off(jobs, station, who)
        results = [self._result(job.operation, job.pieces) for job in jobs]
        if results:
            sign_off(world.session, world.act(who, station.id, late=world.rng.randrange(0, 240)), results)
        for operation in operations:
            self.arrived(operation)  # what was more than one batch, or came in meanwhile
            self._pass_on(operation)
        self.look_for_work(station)

    def _result(self, operation: LotOperation, pieces: int) -> SignOff:
        yields = float(operation.expected_yield)
        lost = sum(self.world.chance(1 - yields) for _ in range(pieces))
        lost = min(pieces - 1, lost + (operation.setup_loss if self.world.chance(0.7) else 0))
        reason = self.world.rng.choice(REASONS.get(operation.kind.name, ("damaged in handling",)))
        return SignOff(operation.id, pieces - lost, (Scrap(lost, reason),) if lost > 0 else ())

    def _back_from_outside(self, operation: LotOperation) -> None:
        if operation.waiting and not operation.lot.on_hold:
            result = SignOff(operation.id, operation.waiting)
            sign_off(self.world.session, self.world.act("TO"), [result])
            self._pass_on(operation)

    def _pass_on(self, operation: LotOperation) -> None:
        lot = operation.lot
        if lot.closed_at is not None:
            self.finished(lot)
            if lot.revision.part.number == STUDS:
                for work in [
                    each for queue in self.world.waiting.values() for each in queue if each.operation.components
                ]:
                    self.arrived(work.operation)
            return
        following = [each for each in lot.operations if each.number > operation.number]
        if following:
            self.arrived(following[0])


def wanted_of(number: str, operation: LotOperation) -> int:
    """Return how many of a component the waiting pieces of an operation take."""
    component = TAKES.get(operation.lot.revision.part.number, ("",))[0]
    if component != number:
        return 0
    return sum(each.per_piece for each in operation.components if each.part.number == number) * operation.waiting
