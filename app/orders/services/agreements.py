"""Keeping on record what was agreed about a delivery, once for each form that was sent."""

from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.orders.errors import AgreedOtherwiseError
from app.orders.models import Agreed, Agreement, Delivery
from app.orders.services.inputs import NewDelivery, Talk
from app.people.models import Person
from app.shared.fingerprint import fingerprint


def first_promise(new: NewDelivery, revision_id: int, by: Person | None, now: datetime) -> Delivery:
    """Return a delivery, not stored yet, whose due date is its first promise and so on record."""
    first = Agreement(
        what=Agreed.FIRST,
        quantity=new.quantity,
        due=new.due,
        revision_id=revision_id,
        recorded_at=now,
        recorded_by_id=by.id if by else None,
    )
    return Delivery(quantity=new.quantity, due=new.due, first_due=new.due, agreements=[first])


def agreed_before(session: orm.Session, talk: Talk, what: Agreed, content: dict[str, Any]) -> Delivery | None:
    """Return the delivery about which this form was recorded before, or None for a fresh one.

    Raises:
        AgreedOtherwiseError: it was recorded with other content.
    """
    kept = session.scalars(sa.select(Agreement).where(Agreement.client_key == talk.key)).one_or_none()
    if kept is None:
        return None
    if kept.content_hash != fingerprint(what.value, content):
        raise AgreedOtherwiseError(f"{kept.what.value}, {kept.quantity}")
    return kept.delivery


def record(delivery: Delivery, talk: Talk, what: Agreed, content: dict[str, Any]) -> None:
    """Keep how a delivery stands now as what was agreed."""
    delivery.agreements.append(
        Agreement(
            what=what,
            quantity=delivery.quantity,
            due=delivery.due,
            revision_id=delivery.line.revision_id,
            agreed_with=talk.agreed_with,
            note=talk.note,
            client_key=talk.key,
            content_hash=fingerprint(what.value, content),
            recorded_at=talk.now,
            recorded_by_id=talk.by.id if talk.by else None,
        )
    )
