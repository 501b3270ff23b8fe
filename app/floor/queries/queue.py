"""What to run next at a station, in the order of the stored forecast, and why."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Job, Lot, LotOperation, Sending
from app.lots.queries.sendings import last_sendings
from app.parts.models import Revision
from app.schedule.models import LotForecast, PlannedRun
from app.schedule.queries import station_queue, turn_words
from app.shared.words import gettext, ngettext
from app.stations.models import Station

SHOWN = 6


@dataclass(frozen=True, slots=True)
class QueueRow:
    """An operation that waits for the station, or will come to it; ``start_at`` and ``slack_seconds`` as forecast.

    ``planned_at`` is the key of the station where the forecast plans it; ``sent`` says by whom and why it was sent to
    this very station; ``ranked``: an accepted plan gives it its place.
    """

    operation: LotOperation
    start_at: datetime | None
    slack_seconds: int | None
    planned_at: int | None = None
    sent: Sending | None = None
    ranked: bool = False

    @property
    def lot(self) -> Lot:
        """Return the lot."""
        return self.operation.lot

    @property
    def is_held(self) -> bool:
        """Say whether nothing of it may run."""
        return self.lot.on_hold or (not self.operation.waiting and self.operation.held > 0)

    @property
    def why(self) -> str:
        """Say why it has this place, or why it cannot run."""
        if self.lot.on_hold:
            return gettext("Cannot run: %(reason)s", reason=self.lot.hold_reason)
        if self.is_held:
            return ngettext(
                "Cannot run: its piece here is held",
                "Cannot run: its %(num)d pieces here are held",
                self.operation.held,
            )
        return turn_words(self.lot, ranked=self.ranked)


def queue_of(session: orm.Session, station: Station, shown: int = SHOWN) -> list[QueueRow]:
    """Return the first operations that a station is to run, without those open there; at most three statements.

    In the order of the forecast; what it has no place for (new, on hold, or no forecast yet) comes after, by the plain
    rank: pinned, rush, due, release, number.
    """
    return _queue(session, station, [station.id], shown)


def queue_of_center(session: orm.Session, station: Station, station_ids: Collection[int], most: int) -> list[QueueRow]:
    """Return what a station or others of its work center are to run, but nothing that was sent to one of the others."""
    return _queue(session, station, station_ids, most)


def _queue(session: orm.Session, station: Station, station_ids: Collection[int], most: int) -> list[QueueRow]:
    rows: dict[int, QueueRow] = {}
    for each in station_queue(session, *station_ids, limit=most):
        if each.operation.sent_to_station_id in {None, station.id}:
            slack = each.forecast.slack_seconds if each.forecast else None
            row = QueueRow(each.operation, each.run.start_at, slack, each.run.station_id, ranked=each.ranked)
            rows.setdefault(each.operation.id, row)
    for row in _unplanned(session, station, most):
        rows.setdefault(row.operation.id, row)
    return _with_sendings(session, list(rows.values())[:most])


def _with_sendings(session: orm.Session, rows: list[QueueRow]) -> list[QueueRow]:
    sent = [row.operation.id for row in rows if row.operation.sent_to_station_id]
    if not sent:
        return rows
    last = last_sendings(session, sent)
    return [replace(row, sent=last.get(row.operation.id)) for row in rows]


def _unplanned(session: orm.Session, station: Station, most: int) -> list[QueueRow]:
    open_here = sa.select(Job.operation_id).where(Job.station_id == station.id)
    planned = sa.select(PlannedRun.operation_id).where(~PlannedRun.under_way)
    rows = session.execute(
        sa.select(LotOperation, LotForecast.slack_seconds)
        .join(LotOperation.lot)
        .outerjoin(LotForecast, LotForecast.lot_id == Lot.id)
        .where(
            LotOperation.work_center_id == station.work_center_id,
            LotOperation.waiting + LotOperation.held > 0,
            LotOperation.id.not_in(open_here),
            sa.or_(
                sa.and_(LotOperation.sent_to_station_id.is_(None), LotOperation.id.not_in(planned)),
                LotOperation.sent_to_station_id == station.id,
            ),
            Lot.closed_at.is_(None),
        )
        .order_by(
            sa.or_(Lot.hold_reason != "", LotOperation.waiting == 0),
            Lot.pin.is_(None),
            Lot.pin,
            Lot.rush.desc(),
            Lot.due_on.is_(None),
            Lot.due_on,
            Lot.released_at,
            Lot.number,
            LotOperation.number,
        )
        .limit(most)
        .options(orm.contains_eager(LotOperation.lot).joinedload(Lot.revision).joinedload(Revision.part))
    )
    return [QueueRow(operation, None, slack) for operation, slack in rows]
