"""Who is signed on at a station."""

from datetime import datetime, timedelta
from typing import Any, NamedTuple

import sqlalchemy as sa
from sqlalchemy import orm

from app.floor.models import SignOn
from app.people.models import Person
from app.stations.models import Shop

IDLE_WITHOUT_A_SHOP = timedelta(hours=4)
CLOCK_SLACK = timedelta(minutes=1)
"""Ages are whole seconds and a badge takes a moment: a change may seem to come a little before the sign-on it is by."""

KEEP_WITHIN = timedelta(minutes=10)
"""How long after another badge took over those before may be kept signed on with one tap."""


def idle_time(session: orm.Session) -> timedelta:
    """Return after what time without a sign of life a person counts as signed off."""
    return _idle(session.scalar(sa.select(Shop.idle_minutes)))


def _idle(minutes: int | None) -> timedelta:
    return IDLE_WITHOUT_A_SHOP if minutes is None else timedelta(minutes=minutes)


def signed_on(session: orm.Session, station_id: int, moment: datetime) -> list[SignOn]:
    """Return who was signed on at a station at ``moment`` with their people, the one who acts first.

    Roles are read only where somebody asks for them.
    """
    rows = session.execute(SIGNED_ON, _there_then(station_id, moment)).all()
    return [sign_on for sign_on, minutes in rows if _awake(sign_on.seen_at, minutes, moment)]


class Acting(NamedTuple):
    """The sign-on of the person who acts."""

    sign_on_id: int
    person_id: int
    seen_at: datetime


def who_acts(session: orm.Session, station_id: int, moment: datetime) -> Acting | None:
    """Return who acts at a station at ``moment``: of those signed on there the one seen last."""
    row = session.connection().execute(LAST_SEEN, _there_then(station_id, moment)).first()
    return Acting(*row[:3]) if row is not None and _awake(row.seen_at, row.idle_minutes, moment) else None


def _there_then(station_id: int, moment: datetime) -> dict[str, Any]:
    return {"station_id": station_id, "begun_by": moment + CLOCK_SLACK, "moment": moment}


def _awake(seen_at: datetime, idle_minutes: int | None, moment: datetime) -> bool:
    return seen_at >= moment - _idle(idle_minutes)


def _not_ended(*what: Any) -> sa.Select[Any]:
    """Return a statement that reads something of sign-ons which nobody ended, the one seen last first.

    The shop's idle time to judge them by comes last.
    """
    return (
        sa.select(*what, sa.select(Shop.idle_minutes).scalar_subquery().label("idle_minutes"))
        .join(SignOn.person)
        .where(
            SignOn.station_id == sa.bindparam("station_id"),
            SignOn.begun_at <= sa.bindparam("begun_by"),
            sa.or_(SignOn.ended_at.is_(None), SignOn.ended_at > sa.bindparam("moment")),
            Person.active,
        )
        .order_by(SignOn.seen_at.desc(), SignOn.id.desc())
    )


# Made once: every page and every change of a station asks one of them.
SIGNED_ON = _not_ended(SignOn).options(orm.contains_eager(SignOn.person).lazyload(Person.role_rows))
LAST_SEEN = _not_ended(SignOn.id, SignOn.person_id, SignOn.seen_at).limit(1)


def just_taken_over(session: orm.Session, sign_on: SignOn, now: datetime) -> list[SignOn]:
    """Return the sign-ons that this one ended a short while ago, so that they can be kept."""
    if now - sign_on.begun_at > KEEP_WITHIN:
        return []
    return list(
        session.scalars(
            sa.select(SignOn)
            .join(SignOn.person)
            .where(
                SignOn.station_id == sign_on.station_id,
                SignOn.ended_at == sign_on.begun_at,
                SignOn.person_id != sign_on.person_id,
                Person.active,
            )
            .order_by(SignOn.id)
            .options(orm.contains_eager(SignOn.person))
        )
    )
