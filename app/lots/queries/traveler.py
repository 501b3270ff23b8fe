"""What a traveler prints."""

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotOperation
from app.lots.queries.changes import issues
from app.lots.queries.joins import Heats, heats_through
from app.lots.queries.lots import get_lot, last_print, person_names
from app.lots.queries.names import lot_name, operation_code
from app.lots.queries.planned import planned_run_seconds
from app.material.queries import IssuedPieces, issued_to_lot
from app.shared.units import UnitSystem
from app.stations.models import Shop, Station


@dataclass(frozen=True, slots=True)
class TravelerStep:
    """One operation as the traveler shows it."""

    operation: LotOperation
    code: str
    stations: str
    run_seconds: int
    cautions: list[str]


@dataclass(frozen=True, slots=True)
class TravelerStory:
    """Everything a traveler prints."""

    lot: Lot
    code: str
    steps: list[TravelerStep]
    blanks: list[IssuedPieces]
    heats: list[Heats]
    issue: int
    shop: Shop | None
    units: UnitSystem
    lot_grams: int
    too_heavy: bool
    printed_at: object
    printed_by: str


def traveler(session: orm.Session, lot_id: int) -> TravelerStory:
    """Load a lot's traveler.

    Raises:
        LotNotFoundError: no such lot.
    """
    lot = get_lot(session, lot_id)
    shop = session.scalars(sa.select(Shop)).first()
    printed = last_print(session, lot.id)
    names = person_names(session, [printed.printed_by_id if printed else None])
    stations = _station_names(session, lot)
    grams = lot.started * (lot.revision.blank_grams or lot.revision.piece_grams)
    return TravelerStory(
        lot=lot,
        code=lot_name(lot),
        steps=[_step(lot, operation, stations) for operation in lot.operations],
        blanks=issued_to_lot(session, lot.id),
        heats=heats_through(session, lot.id),
        issue=issues(session, [lot.id])[lot.id],
        shop=shop,
        units=shop.units if shop else UnitSystem.METRIC,
        lot_grams=grams,
        too_heavy=bool(shop and grams > shop.lift_limit_grams),
        printed_at=printed.printed_at if printed else None,
        printed_by=names.get(printed.printed_by_id or 0, "") if printed else "",
    )


def _step(lot: Lot, operation: LotOperation, stations: dict[int, str]) -> TravelerStep:
    return TravelerStep(
        operation=operation,
        code=operation_code(operation),
        stations=stations.get(operation.work_center_id or 0, ""),
        run_seconds=planned_run_seconds(operation, lot.started, lot.revision.piece_grams),
        cautions=[line for line in operation.kind.caution.splitlines() if line.strip()],
    )


def _station_names(session: orm.Session, lot: Lot) -> dict[int, str]:
    centers = {operation.work_center_id for operation in lot.operations if operation.work_center_id}
    rows = session.execute(
        sa.select(Station.work_center_id, Station.name)
        .where(Station.work_center_id.in_(centers), Station.active)
        .order_by(Station.name)
    )
    names: dict[int, list[str]] = {}
    for center, name in rows:
        names.setdefault(center, []).append(name)
    return {center: " / ".join(found) for center, found in names.items()}


def printed_address(session: orm.Session) -> str:
    """Return the address that printed codes carry, or '' where the shop has not chosen one."""
    return session.scalars(sa.select(Shop.address)).first() or ""


def shop_units(session: orm.Session) -> UnitSystem:
    """Return the shop's units; metric before there is a shop."""
    return session.scalars(sa.select(Shop.units)).first() or UnitSystem.METRIC
