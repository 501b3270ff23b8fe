"""The jobs that are open at a station; the lots of a batch are one."""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import ComponentUse, Job, Lot, LotComponent, LotOperation
from app.lots.queries.jobs import counted_by_station
from app.lots.queries.loads import LoadCount, load_count
from app.parts.models import Revision, Taking


@dataclass(frozen=True, slots=True)
class ComponentNeed:
    """A component that an operation takes: how many its pieces there and beyond need, and how many were recorded."""

    part_id: int
    part: str
    name: str
    per_piece: int
    needed: int
    used: int

    @property
    def missing(self) -> int:
        """Return how many more are needed."""
        return max(0, self.needed - self.used)


@dataclass(frozen=True, slots=True)
class OpenJob:
    """One lot's operation that is open at the station."""

    job: Job
    counted: int
    components: tuple[ComponentNeed, ...]

    @property
    def operation(self) -> LotOperation:
        """Return the operation."""
        return self.job.operation

    @property
    def lot(self) -> Lot:
        """Return the lot."""
        return self.job.operation.lot


@dataclass(frozen=True, slots=True)
class OpenWork:
    """What takes one pallet: a job, or the jobs of a batch that were begun together."""

    jobs: tuple[OpenJob, ...]

    @property
    def first(self) -> OpenJob:
        """Return the job that speaks for all."""
        return self.jobs[0]

    @property
    def pieces(self) -> int:
        """Return how many pieces are in it."""
        return sum(each.job.pieces for each in self.jobs)

    @property
    def is_pallet(self) -> bool:
        """Say whether it is a load on a pallet or fixture."""
        return self.first.operation.taking is Taking.LOAD

    @property
    def load(self) -> LoadCount | None:
        """Return which load of a lot runs that is larger than one and runs alone; None for all else."""
        return load_count(self.first.operation, self.first.job.pieces) if len(self.jobs) == 1 else None

    def proposed(self, job: OpenJob) -> int:
        """Return the pieces that its 'done' form fills in: all, or one of several pallet loads."""
        return min(self.load.pieces, job.job.pieces) if self.is_pallet and self.load else job.job.pieces

    @property
    def first_piece_due(self) -> list[OpenJob]:
        """Return the jobs that still wait for a good first piece."""
        return [
            each
            for each in self.jobs
            if each.operation.first_piece and not each.job.first_piece_good and not each.operation.passed
        ]


def open_work(session: orm.Session, station_id: int) -> list[OpenWork]:
    """Return what is open at a station, the longest first; a fixed number of statements."""
    jobs = session.scalars(
        sa.select(Job)
        .where(Job.station_id == station_id)
        .order_by(Job.begun_at, Job.id)
        .options(
            orm.joinedload(Job.person),
            orm.joinedload(Job.operation).options(
                orm.joinedload(LotOperation.kind),
                orm.joinedload(LotOperation.work_center),
                orm.selectinload(LotOperation.components).joinedload(LotComponent.part),
                orm.joinedload(LotOperation.lot).options(
                    orm.joinedload(Lot.revision).joinedload(Revision.part), orm.selectinload(Lot.operations)
                ),
            ),
        )
    ).all()
    operations = [job.operation for job in jobs]
    counted = counted_by_station(session, [each.id for each in operations])
    needs = component_needs(session, operations)
    ordered = sorted(jobs, key=lambda job: (job.begun_at, job.batch_id or 0, job.id))
    return [
        OpenWork(
            tuple(OpenJob(job, counted.get((job.operation_id, station_id), 0), needs[job.operation_id]) for job in same)
        )
        for _, same in groupby(ordered, key=lambda job: (job.begun_at, job.batch_id or -job.id))
    ]


def component_needs(session: orm.Session, operations: Iterable[LotOperation]) -> dict[int, tuple[ComponentNeed, ...]]:
    """Return what each operation takes, for all pieces that are there or have passed it."""
    operations = list(operations)
    rows = session.execute(
        sa.select(ComponentUse.operation_id, ComponentUse.part_id, sa.func.sum(ComponentUse.pieces))
        .where(ComponentUse.operation_id.in_([each.id for each in operations]))
        .group_by(ComponentUse.operation_id, ComponentUse.part_id)
    )
    used = {(operation_id, part_id): pieces for operation_id, part_id, pieces in rows}
    return {
        operation.id: tuple(
            ComponentNeed(
                part_id=each.part_id,
                part=each.part.number,
                name=each.part.name,
                per_piece=each.per_piece,
                needed=each.per_piece * (operation.present + operation.done),
                used=used.get((operation.id, each.part_id), 0),
            )
            for each in operation.components
        )
        for operation in operations
    }
