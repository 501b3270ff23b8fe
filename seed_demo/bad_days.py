"""Days on which floor, paper and books went apart: a sign-off that somebody forgot, a traveler filled in by pen."""

from dataclasses import replace
from datetime import datetime, timedelta

import sqlalchemy as sa

from app.lots.models import Entry, Lot, LotOperation, Place, Posting
from app.lots.services import PaperRow, enter_rows
from app.parts.models import KindRole, OperationKind
from app.stations.models import Station
from seed_demo.floor import Floor
from seed_demo.world import World, moment

DAY = 86_400
FORGETFUL = "Mill 1, two pallets"
"""Its other pallet lets work go on while a job stays open that was finished long ago."""


def plan(world: World, floor: Floor) -> None:
    """Let one sign-off of the last days be forgotten."""
    world.at(world.end - 3 * DAY, lambda: setattr(floor, "forgets_at", FORGETFUL))


def finish(world: World) -> None:
    """Enter a row that was written by pen earlier today or yesterday."""
    found = _waits_for_an_hour(world)
    if found is None:
        return
    operation, came, station_id = found
    row = PaperRow(
        place="rows-0",
        operation_id=operation.id,
        person_id=world.people["DL"].id,
        begun_at=came + timedelta(minutes=10),
        done_at=came + timedelta(minutes=50),
        good=operation.waiting - 1,
        scrap=1,
        reason="damaged in handling",
        station_id=station_id,
        first_piece=True,
    )
    enter_rows(world.session, replace(world.act("TO"), note="entered from paper"), [row])


def _waits_for_an_hour(world: World) -> tuple[LotOperation, datetime, int] | None:
    """Return an operation at which pieces wait for an hour or more, since when, and a station that can do it."""
    came = sa.func.max(Posting.happened_at)
    rows = world.session.execute(
        sa.select(LotOperation, came, sa.func.min(Station.id))
        .join(LotOperation.lot)
        .join(OperationKind, LotOperation.kind_id == OperationKind.id)
        .join(Station, Station.work_center_id == LotOperation.work_center_id)
        .join(Entry, sa.and_(Entry.to_operation_id == LotOperation.id, Entry.to_place == Place.WAITING))
        .join(Posting, Entry.posting_id == Posting.id)
        .where(
            Lot.closed_at.is_(None),
            Lot.hold_reason == "",
            OperationKind.role == KindRole.STATION,
            LotOperation.waiting > 1,
            ~LotOperation.components.any(),
        )
        .group_by(LotOperation.id)
        .having(came < moment(world.now) - timedelta(hours=1))
        .order_by(came.desc(), LotOperation.id)
    )
    first = rows.first()
    return (first[0], first[1], first[2]) if first else None
