"""Who is signed on at a station."""

from datetime import datetime, timedelta

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
    rows = session.execute(
        SIGNED_ON, {"station_id": station_id, "begun_by": moment + CLOCK_SLACK, "moment": moment}
    ).all()
    return [sign_on for sign_on, minutes in rows if sign_on.seen_at >= moment - _idle(minutes)]


def _signed_on() -> sa.Select[SignOn, int | None]:
    """Return the statement that reads sign-ons which nobody ended, with the shop's idle time to judge them by."""
    return (
        sa.select(SignOn, sa.select(Shop.idle_minutes).scalar_subquery())
        .join(SignOn.person)
        .where(
            SignOn.station_id == sa.bindparam("station_id"),
            SignOn.begun_at <= sa.bindparam("begun_by"),
            sa.or_(SignOn.ended_at.is_(None), SignOn.ended_at > sa.bindparam("moment")),
            Person.active,
        )
        .order_by(SignOn.seen_at.desc(), SignOn.id.desc())
        .options(orm.contains_eager(SignOn.person).lazyload(Person.role_rows))
    )


SIGNED_ON = _signed_on()
"""Made once: it runs at every change from a station."""


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
