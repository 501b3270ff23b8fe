"""A form's key makes what it sends count once, here for tables that have no ledger."""

from typing import Any, TypeVar

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.services.acts import content_hash
from app.quality.errors import SameKeyError
from app.quality.models import AllChecked, Calibration, Disposition, GaugeStudy, Reading, Waiver

Row = TypeVar("Row", Reading, AllChecked, Waiver, Disposition, Calibration, GaugeStudy)


def kept_before(session: orm.Session, model: type[Row], key: str, content: dict[str, Any]) -> Row | None:
    """Return the row that this key made before with the same content, or None for a fresh key.

    Raises:
        SameKeyError: the key was used for something else.
    """
    kept = session.scalars(sa.select(model).where(model.client_key == key)).one_or_none()
    if kept is not None and kept.content_hash != content_hash(model.__name__, content):
        raise SameKeyError(str(content.get("typed") or content.get("pieces") or model.__name__))
    return kept
