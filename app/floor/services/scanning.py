"""What a scan means at a station: who acts, what begins, which form opens. A scan never finishes anything."""

from dataclasses import dataclass
from enum import StrEnum

from sqlalchemy import orm

from app.core.scan_code import CodeKind, ScanCode
from app.floor import queries
from app.floor.errors import ClosedLotError, NotAtAStationError, OtherOperationError
from app.floor.services.sent import Sent, check_somebody_acts, working
from app.lots import services as ledger
from app.lots.errors import KeyReusedError, NotAComponentError, OtherLotError, SkippedError
from app.lots.models import LotOperation
from app.lots.queries import LotChange, changed_since_print
from app.lots.queries.jobs import job_at
from app.lots.queries.names import lot_name, operation_name
from app.parts.models import KindRole
from app.shared.codes import issue_in, read_code
from app.stations.queries import get_station, station_by_number


class Shown(StrEnum):
    """What to show after a scan."""

    STATION = "station"
    SIGN_ON = "sign on"
    DONE = "done"
    COMPONENT = "component"
    LOT = "lot"
    RECEIPT = "receipt"


@dataclass(frozen=True, slots=True)
class Answer:
    """Where a scan leads: what to show, of what (its key), and the code where a form is about it."""

    shown: Shown
    key: int = 0
    code: str = ""


def scan(session: orm.Session, sent: Sent, text: str) -> Answer:
    """Do what a scanned code means at a station.

    A badge leads to signing on. An operation begins, or, where it is open here, its 'done' form opens; a lot stands
    for its operation that fits the station. A component's lot or receipt leads to the form for components while an
    operation that takes it is open.

    Raises:
        CodeRefusedError: the code cannot be read.
        NotFoundError: nothing has this code.
        FloorError, LedgerError: it cannot begin.
    """
    code = read_code(text)
    match code.kind:
        case CodeKind.BADGE:
            return Answer(Shown.SIGN_ON, code.number, str(code))
        case CodeKind.STATION:
            return Answer(Shown.STATION, station_by_number(session, code.number).id)
        case CodeKind.RECEIPT:
            return _receipt(session, sent, code)
        case CodeKind.LOT:
            return _lot(session, sent, code)
        case CodeKind.OPERATION:
            return _operation(session, sent, queries.operation_by_number(session, code))


def _receipt(session: orm.Session, sent: Sent, code: ScanCode) -> Answer:
    receipt = queries.receipt_by_number(session, code)
    taking = _taking_components(session, sent)
    if not taking:
        return Answer(Shown.RECEIPT, receipt.id)
    operation = _taker(taking, receipt.part_id)
    if operation is None:
        raise NotAComponentError(str(code), operation_name(taking[0]))
    check_somebody_acts(session, sent)
    return Answer(Shown.COMPONENT, operation.id, str(code))


def _lot(session: orm.Session, sent: Sent, code: ScanCode) -> Answer:
    lot = queries.lot_by_number(session, code)
    operation = _taker(_taking_components(session, sent), lot.revision.part_id)
    if operation is not None:
        check_somebody_acts(session, sent)
        return Answer(Shown.COMPONENT, operation.id, str(code))
    station = get_station(session, sent.station_id)
    fitting = queries.fitting_operation(session, lot, station.id, station.work_center_id)
    if fitting is None:
        return Answer(Shown.LOT, lot.id)
    return _operation(session, sent, queries.operation_at(session, fitting.id))


def _taking_components(session: orm.Session, sent: Sent) -> list[LotOperation]:
    """Return the operations open at the station that take components."""
    work = queries.open_work(session, sent.station_id)
    return [each.operation for one in work for each in one.jobs if each.operation.components]


def _taker(taking: list[LotOperation], part_id: int | None) -> LotOperation | None:
    return next((each for each in taking if part_id in {component.part_id for component in each.components}), None)


def _operation(session: orm.Session, sent: Sent, operation: LotOperation) -> Answer:
    if _was_kept(session, sent, operation):
        return Answer(Shown.STATION, sent.station_id)
    if operation.skipped:
        raise SkippedError(operation_name(operation))
    check_somebody_acts(session, sent)
    if job_at(session, operation.id, sent.station_id) is not None:
        return Answer(Shown.DONE, operation.id)
    _refuse_to_begin(operation)
    setup = queries.needs_setup(session, sent.station_id, operation)
    with working(session, sent) as act:
        ledger.begin(session, act, [operation.id], setup=setup, anyway=sent.remedies.anyway)
    return Answer(Shown.STATION, sent.station_id)


def _was_kept(session: orm.Session, sent: Sent, operation: LotOperation) -> bool:
    """Say whether this very scan was received before; what it began is open now, and must not open a form.

    Raises:
        KeyReusedError: its key was used for something else.
    """
    kept = queries.kept_posting(session, sent.key)
    if kept is None:
        return False
    if operation.id not in {entry.to_operation_id for entry in kept.entries}:
        raise KeyReusedError(f"{kept.verb.value}, {sum(entry.quantity for entry in kept.entries)}")
    return True


def _refuse_to_begin(operation: LotOperation) -> None:
    if operation.kind.role is not KindRole.STATION:
        raise NotAtAStationError(operation_name(operation), operation.kind.name)
    if operation.lot.closed_at is not None:
        raise ClosedLotError(lot_name(operation.lot))


def changed_since(session: orm.Session, text: str) -> list[LotChange]:
    """Return what changed about a lot since the print was made that a code was scanned from; [] for other codes."""
    code = read_code(text)
    match code.kind:
        case CodeKind.LOT:
            lot_id = queries.lot_by_number(session, code).id
        case CodeKind.OPERATION:
            lot_id = queries.operation_by_number(session, code).lot_id
        case _:
            return []
    return changed_since_print(session, lot_id, issue_in(text))


def check_same_work(session: orm.Session, sent: Sent, operation_ids: list[int], text: str) -> Answer:
    """Say what a scan means while the form for some work is open: nothing is begun and nothing finished by it.

    Raises:
        OtherLotError: it is the code of another lot.
        OtherOperationError: it is another operation of the lot.
        NotAComponentError: a receipt that does not go into the operation.
        CodeRefusedError, NotFoundError: as for ``scan``.
    """
    code = read_code(text)
    operations = [queries.operation_at(session, each) for each in operation_ids]
    match code.kind:
        case CodeKind.OPERATION:
            scanned = queries.operation_by_number(session, code)
            if scanned.id not in operation_ids:
                _refuse_other(operations, scanned)
            return Answer(Shown.DONE, scanned.id)
        case CodeKind.LOT:
            lot = queries.lot_by_number(session, code)
            taker = _taker(_taking_components(session, sent), lot.revision.part_id)
            if taker is not None:
                return Answer(Shown.COMPONENT, taker.id, str(code))
            if lot.id not in {each.lot_id for each in operations}:
                raise OtherLotError(lot_name(operations[0].lot), lot_name(lot))
            return Answer(Shown.DONE, operations[0].id)
        case _:
            return scan(session, sent, text)


def _refuse_other(operations: list[LotOperation], scanned: LotOperation) -> None:
    for each in operations:
        if each.lot_id == scanned.lot_id:
            raise OtherOperationError(each.number, scanned.number)
    raise OtherLotError(lot_name(operations[0].lot), lot_name(scanned.lot))
