"""Who said what of a station, and the key that makes it count once."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.shared.fingerprint import fingerprint
from app.stations.errors import SaidOtherwiseError
from app.stations.models import Saying, StationChange


@dataclass(frozen=True, slots=True)
class Said:
    """The circumstances of something said of a station.

    Attributes:
        key: the client's key of the form that was sent; the same key never counts twice.
        happened_at: when it happened (aware).
        recorded_at: when it was written down here (aware).
        person_id: who said it; None for the program itself.
    """

    key: str
    happened_at: datetime
    recorded_at: datetime
    person_id: int | None = None


def said_before(
    session: orm.Session, station_id: int, said: Said, what: Saying, content: dict[str, Any], reason: str = ""
) -> bool:
    """Say whether this key said the same before; else write down who says it now. Only inside a transaction.

    Raises:
        SaidOtherwiseError: the key was used for something else.
    """
    mark = fingerprint(what.value, {"station": station_id, **content})
    kept = session.scalars(sa.select(StationChange).where(StationChange.client_key == said.key)).one_or_none()
    if kept is not None:
        if kept.content_hash != mark:
            raise SaidOtherwiseError(kept.what.value)
        return True
    session.add(
        StationChange(
            client_key=said.key,
            content_hash=mark,
            what=what,
            station_id=station_id,
            person_id=said.person_id,
            happened_at=said.happened_at,
            recorded_at=said.recorded_at,
            reason=reason,
        )
    )
    return False
