"""One lot or routing as the core takes it: the way of taking pieces, what a set-up is for, what its rank is made of."""

from app.core import shop as core
from app.core.shop import Arrival
from app.lots.models import Lot, LotOperation
from app.lots.queries.names import lot_name
from app.parts.models import KindRole, OperationKind, OperationPlan, Taking
from app.schedule.queries.hours import ShopHours, second_of
from app.stations.models import Station, WorkCenter


def lot_head(lot: Lot, hours: ShopHours) -> core.Lot:
    """Return what a lot's rank is made of, without its operations."""
    return core.Lot(
        key=lot_name(lot),
        number=f"{lot.number:09}",
        operations=(),
        released=second_of(lot.released_at),
        due=None if lot.due_on is None else hours.cutoff(lot.due_on),
        pinned=lot.pin,
        rush=lot.rush,
        hold=lot.hold_reason or None,
    )


def family(revision_id: int, number: int) -> str:
    """Return what a set-up is for: the same operation of the same part and revision needs none after itself."""
    return f"{revision_id}/{number}"


def taking_of(
    plan: OperationPlan, kind: OperationKind, piece_grams: int, arrivals: tuple[Arrival, ...] = ()
) -> core.Taking:
    """Return how an operation takes pieces.

    A batch that is bounded by weight is bounded by pieces alone where a piece's weight is not known, as at the station.
    """
    if kind.role is KindRole.BLANKS:
        return core.Purchase(arrivals)
    return core.LeadTime(plan.lead_days) if kind.role is KindRole.OUTSIDE else _station_taking(plan, piece_grams)


def _station_taking(plan: OperationPlan, piece_grams: int) -> core.Taking:
    match plan.taking:
        case Taking.SINGLE:
            return core.SinglePiece(plan.cycle_ms)
        case Taking.LOAD:
            return core.PalletLoad(plan.load_pieces, plan.cycle_ms, plan.load_ms, plan.unload_ms)
        case Taking.BAR:
            return core.BarFed(plan.load_pieces, plan.cycle_ms, plan.load_ms)
        case Taking.BATCH:
            most = plan.batch_grams if plan.batch_grams and piece_grams else None
            wait_s = 60 * plan.wait_minutes
            return core.Batch(plan.recipe, plan.cycle_ms, plan.load_pieces, most, piece_grams, wait_s)
        case Taking.LEAD_TIME:
            return core.LeadTime(plan.lead_days)


def station_as_planned(station: Station, hours: ShopHours) -> core.Station:
    """Return a station as plans have it, whatever it is set up for; one no longer in use gets no other work."""
    return core.Station(
        key=station.name,
        work_center=station.work_center.name if station.active else f"{station.name} (no longer in use)",
        calendar=hours.calendar(station),
        pallets=station.pallets,
        pallet_change_ms=1000 * station.pallet_change_seconds,
        over_closed=station.over_closed,
        unattended_s=60 * station.unattended_minutes,
        pace=station.pace,
    )


def planned_operation(
    plan: OperationPlan, work_center: WorkCenter | None, taking: core.Taking, revision_id: int
) -> core.Operation:
    """Return an operation of a routing or lot without the pieces that are there."""
    return core.Operation(
        key=str(plan.number),
        work_center=work_center.name if work_center else "",
        taking=taking,
        setup_s=plan.setup_seconds,
        fixture=plan.setup_family,
        fixture_setup_s=min(plan.family_setup_seconds, plan.setup_seconds),
        tend_permille=10 * plan.tend_percent,
        family=family(revision_id, plan.number),
        send_ahead=plan.send_ahead or None,
    )


def needed_setup(operation: LotOperation, revision_id: int, before: LotOperation | None, before_revision: int) -> int:
    """Return the seconds of set-up of an operation after another at the same station; all where that is not known."""
    if before is None:
        return operation.setup_seconds
    if (revision_id, operation.number) == (before_revision, before.number):
        return 0
    if operation.setup_family and operation.setup_family == before.setup_family:
        return min(operation.family_setup_seconds, operation.setup_seconds)
    return operation.setup_seconds


def needs_blanks(operation: LotOperation) -> bool:
    """Say whether pieces wait at an operation for blanks that are bought."""
    return operation.kind.role is KindRole.BLANKS


def done_by_others(operation: LotOperation) -> bool:
    """Say whether pieces at an operation are outside the shop."""
    return not needs_blanks(operation) and (
        operation.kind.role is KindRole.OUTSIDE or operation.taking is Taking.LEAD_TIME
    )


def lead_days(plan: OperationPlan, blank_lead_days: int) -> int:
    """Return the calendar days from ordering blanks to having them: the blank's own, else the operation's."""
    return blank_lead_days or plan.lead_days
