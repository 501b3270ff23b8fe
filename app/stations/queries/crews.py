"""The people of each shift."""

from collections.abc import Sequence

import sqlalchemy as sa
from sqlalchemy import orm

from app.stations.models import Crew


def crews(session: orm.Session) -> Sequence[Crew]:
    """Return the shifts with their people, by the time at which they begin."""
    return session.scalars(sa.select(Crew).order_by(Crew.starts, Crew.name)).all()


def find_crew(session: orm.Session, crew_id: int) -> Crew | None:
    """Return a shift with its people, or None where it is gone."""
    return session.get(Crew, crew_id)
