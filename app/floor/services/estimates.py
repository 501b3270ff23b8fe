"""Mending a forgotten sign-off: about when the pieces were finished, as somebody estimates who was not there."""

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import datetime

from sqlalchemy import orm

from app.floor import queries
from app.floor.services.components import component_source
from app.lots import services as ledger
from app.lots.models import LotOperation, Posting
from app.lots.queries.jobs import job_at
from app.lots.services import Act, PaperRow
from app.parts.models import KindRole
from app.shared.database import transaction
from app.shared.errors import PlainError, Problem, refuse

PLACE = "mend"
"""The name of the form; a problem is about one of its fields, as in rows of paper."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """What somebody says of pieces that nobody signed off.

    Attributes:
        operation_id: where the sign-off is missing.
        through_id: the last operation that the pieces have passed; the same one, or a later one.
        station_id: the station of the open job; None where none is open.
        about: when they were finished there.
        good: good pieces.
        scrap: scrapped pieces, found at the first operation.
        reason: why they are scrap.
        first_piece: the first piece was found good.
        components: codes of the lots and receipts that components came from.
    """

    operation_id: int
    through_id: int
    station_id: int | None
    about: datetime
    good: int
    scrap: int = 0
    reason: str = ""
    first_piece: bool = False
    components: tuple[str, ...] = ()


def mend_forgotten(session: orm.Session, act: Act, estimate: Estimate) -> list[Posting]:
    """Sign off pieces as an estimate, through one operation or several; ``act`` says who estimates and when.

    Raises:
        RefusedError: it cannot be true; its problems name the fields of the form ``PLACE``.
        LedgerError: the key was used for something else.
    """
    content = asdict(estimate)
    with transaction(session):
        kept = ledger.rows_kept(session, act, content)
        if kept:
            return kept
        operation = queries.operation_at(session, estimate.operation_id)
        job = job_at(session, operation.id, estimate.station_id)
        who = job.person_id if job is not None else None
        rows = list(_rows(session, estimate, operation, who or act.person_id))
        return ledger.enter_rows(session, act, rows, content=content)


def passed_through(operation: LotOperation, through_id: int) -> list[LotOperation]:
    """Return the operations from one on through another; only the first where the other is none of those after it."""
    following = [
        each
        for each in operation.lot.operations
        if each.number >= operation.number and each.kind.role is not KindRole.BLANKS
    ]
    last = next((index for index, each in enumerate(following) if each.id == through_id), 0)
    return following[: last + 1]


def _rows(
    session: orm.Session, estimate: Estimate, operation: LotOperation, person_id: int | None
) -> Iterator[PaperRow]:
    for each in passed_through(operation, estimate.through_id):
        is_first = each.id == operation.id
        yield PaperRow(
            place=PLACE,
            operation_id=each.id,
            person_id=person_id,
            done_at=estimate.about,
            good=estimate.good,
            scrap=estimate.scrap if is_first else 0,
            reason=estimate.reason,
            station_id=estimate.station_id if is_first else None,
            first_piece=estimate.first_piece,
            components=_sources(session, each, estimate.components) if each.components else (),
        )


def _sources(
    session: orm.Session, operation: LotOperation, codes: tuple[str, ...]
) -> tuple[ledger.ComponentSource, ...]:
    try:
        return tuple(component_source(session, operation.id, code) for code in codes)
    except PlainError as error:
        refuse([Problem(f"{PLACE}-components", error)])
        raise
