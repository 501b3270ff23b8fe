"""Sending a lot's operation to one station of its work center, and letting it go again."""

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.errors import AlreadySentError, KeyReusedError, NothingHereError, NotSentError, ReasonMissingError
from app.lots.models import LotOperation, Sending
from app.lots.queries.names import operation_name
from app.lots.queries.sendings import still_to_do
from app.lots.services.acts import Act
from app.lots.services.books import lock_operations
from app.shared.database import transaction
from app.shared.fingerprint import fingerprint
from app.stations.errors import NotOfTheCenterError, StationNotFoundError
from app.stations.queries import get_station


def send_to_station(session: orm.Session, act: Act, operation_id: int, station_id: int, reason: str) -> Sending:
    """Let an operation run at one station of its work center only; the forecast plans it there. Pieces stay put.

    Raises:
        OperationNotFoundError, StationNotFoundError: there is none with this key, or the station is out of use.
        ReasonMissingError: no reason is given.
        NotOfTheCenterError: the station cannot do this operation.
        NothingHereError: no piece will come to the operation any more.
        AlreadySentError: it is sent there already.
        KeyReusedError: the key was used for something else.
    """
    with transaction(session):
        [operation] = lock_operations(session, [operation_id])
        kept = _kept(session, act, operation_id, station_id)
        if kept is not None:
            return kept
        _check(session, operation, station_id, reason)
        return put(session, act, operation, station_id, reason.strip())


def let_go(session: orm.Session, act: Act, operation_id: int, reason: str = "") -> Sending:
    """Let an operation that was sent to one station run at any of its work center again.

    Raises:
        OperationNotFoundError: there is none with this key.
        NotSentError: it is not sent anywhere.
        KeyReusedError: the key was used for something else.
    """
    with transaction(session):
        [operation] = lock_operations(session, [operation_id])
        kept = _kept(session, act, operation_id, None)
        if kept is not None:
            return kept
        if operation.sent_to_station_id is None:
            raise NotSentError(operation_name(operation))
        return put(session, act, operation, None, reason)


def put(session: orm.Session, act: Act, operation: LotOperation, station_id: int | None, reason: str) -> Sending:
    """Write down where an operation is sent; its lot must be locked and everything checked."""
    operation.sent_to_station_id = station_id
    sending = Sending(
        client_key=act.key,
        content_hash=_mark(operation.id, station_id),
        operation_id=operation.id,
        station_id=station_id,
        reason=reason,
        person_id=act.person_id,
        sent_at=act.happened_at,
        recorded_at=act.recorded_at,
    )
    session.add(sending)
    return sending


def _mark(operation_id: int, station_id: int | None) -> str:
    return fingerprint("send", {"operation": operation_id, "station": station_id})


def _kept(session: orm.Session, act: Act, operation_id: int, station_id: int | None) -> Sending | None:
    kept = session.scalars(sa.select(Sending).where(Sending.client_key == act.key)).one_or_none()
    if kept is not None and kept.content_hash != _mark(operation_id, station_id):
        raise KeyReusedError(kept.station.name if kept.station else "–")
    return kept


def _check(session: orm.Session, operation: LotOperation, station_id: int, reason: str) -> None:
    station = get_station(session, station_id)
    if not station.active:
        raise StationNotFoundError
    if not reason.strip():
        raise ReasonMissingError
    if station.work_center_id != operation.work_center_id:
        raise NotOfTheCenterError(station.name, operation_name(operation))
    if not still_to_do(operation):
        raise NothingHereError(operation_name(operation))
    if operation.sent_to_station_id == station_id:
        raise AlreadySentError(operation_name(operation), station.name)
