"""The people of each shift: add one, take one away."""

from dataclasses import dataclass
from datetime import time

import sqlalchemy as sa
from sqlalchemy import orm

from app.shared.database import lock_row, transaction
from app.shared.errors import Problem, refuse
from app.stations.errors import CrewNameTakenError
from app.stations.models import Crew


@dataclass(frozen=True, slots=True)
class NewCrew:
    """A shift as typed; see ``Crew``."""

    name: str
    weekdays: tuple[int, ...]
    starts: time
    ends: time
    setters: int
    tenders: int


def add_crew(session: orm.Session, new: NewCrew) -> Crew:
    """Add a shift. With the first one, people begin to limit the work.

    Raises:
        RefusedError: there is a shift with this name.
    """
    with transaction(session):
        same = sa.select(Crew).where(sa.func.lower(Crew.name) == new.name.lower())
        found = session.scalars(same).first()
        if found is not None:
            refuse([Problem("name", CrewNameTakenError(found.name))])
        crew = Crew(
            name=new.name,
            weekdays=list(new.weekdays),
            starts=new.starts,
            ends=new.ends,
            setters=new.setters,
            tenders=new.tenders,
        )
        session.add(crew)
    return crew


def remove_crew(session: orm.Session, crew_id: int) -> None:
    """Take a shift away; nothing happens where it is gone already. After the last one people limit nothing."""
    with transaction(session):
        crew = lock_row(session, Crew, crew_id)
        if crew is not None:
            session.delete(crew)
