"""Who is signed on at a station."""

from datetime import datetime, timedelta

import sqlalchemy as sa
from sqlalchemy import orm

from app.floor.models import SignOn
from app.people.models import Person
from app.stations.queries import find_shop

IDLE_WITHOUT_A_SHOP = timedelta(hours=4)
CLOCK_SLACK = timedelta(minutes=1)
"""Ages are whole seconds and a badge takes a moment: a change may seem to come a little before the sign-on it is by."""

KEEP_WITHIN = timedelta(minutes=10)
"""How long after another badge took over those before may be kept signed on with one tap."""


def idle_time(session: orm.Session) -> timedelta:
    """Return after what time without a sign of life a person counts as signed off."""
    shop = find_shop(session)
    return timedelta(minutes=shop.idle_minutes) if shop else IDLE_WITHOUT_A_SHOP


def signed_on(session: orm.Session, station_id: int, moment: datetime) -> list[SignOn]:
    """Return who was signed on at a station at ``moment`` with their people, the one who acts first.

    Roles are read only where somebody asks for them.
    """
    return list(
        session.scalars(
            sa.select(SignOn)
            .join(SignOn.person)
            .where(
                SignOn.station_id == station_id,
                SignOn.begun_at <= moment + CLOCK_SLACK,
                SignOn.seen_at >= moment - idle_time(session),
                sa.or_(SignOn.ended_at.is_(None), SignOn.ended_at > moment),
                Person.active,
            )
            .order_by(SignOn.seen_at.desc(), SignOn.id.desc())
            .options(orm.contains_eager(SignOn.person).lazyload(Person.role_rows))
        )
    )


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
