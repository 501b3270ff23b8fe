"""The people of each shift: a shift added, changed or taken away, and a person moved."""

from dataclasses import dataclass
from datetime import time

import sqlalchemy as sa
from sqlalchemy import orm

from app.shared.database import lock_row, transaction
from app.shared.errors import Problem, refuse
from app.stations.errors import CrewNameTakenError, CrewNotFoundError, NobodyToMoveError
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
        _refuse_taken(session, new.name)
        crew = Crew()
        _write(crew, new)
        session.add(crew)
    return crew


def change_crew(session: orm.Session, crew_id: int, new: NewCrew) -> Crew:
    """Change when a shift works and how many people it has.

    Raises:
        CrewNotFoundError: it is gone.
        RefusedError: there is another shift with this name.
    """
    with transaction(session):
        crew = lock_row(session, Crew, crew_id)
        if crew is None:
            raise CrewNotFoundError
        _refuse_taken(session, new.name, but=crew_id)
        _write(crew, new)
    return crew


def move_person(session: orm.Session, crew_name: str, setters: int, source_name: str = "") -> None:
    """Have one person more set up (``setters`` 1) or tend (-1) in a shift, from the other work or another shift.

    Raises:
        CrewNotFoundError: one of the shifts is gone.
        NobodyToMoveError: nobody is left there who could be moved.
    """
    with transaction(session):
        crew = _by_name(session, crew_name)
        source = _by_name(session, source_name) if source_name else crew
        gains = "setters" if setters > 0 else "tenders"
        loses = gains if source_name else {"setters": "tenders", "tenders": "setters"}[gains]
        if getattr(source, loses) < 1:
            raise NobodyToMoveError(source.name)
        setattr(source, loses, getattr(source, loses) - 1)
        setattr(crew, gains, getattr(crew, gains) + 1)


def _by_name(session: orm.Session, name: str) -> Crew:
    crew = session.scalars(sa.select(Crew).where(Crew.name == name).with_for_update()).one_or_none()
    if crew is None:
        raise CrewNotFoundError
    return crew


def _refuse_taken(session: orm.Session, name: str, but: int | None = None) -> None:
    same = sa.select(Crew).where(sa.func.lower(Crew.name) == name.lower(), Crew.id != (but or 0))
    found = session.scalars(same).first()
    if found is not None:
        refuse([Problem("name", CrewNameTakenError(found.name))])


def _write(crew: Crew, new: NewCrew) -> None:
    crew.name, crew.weekdays = new.name, list(new.weekdays)
    crew.starts, crew.ends = new.starts, new.ends
    crew.setters, crew.tenders = new.setters, new.tenders


def remove_crew(session: orm.Session, crew_id: int) -> None:
    """Take a shift away; nothing happens where it is gone already. After the last one people limit nothing."""
    with transaction(session):
        crew = lock_row(session, Crew, crew_id)
        if crew is not None:
            session.delete(crew)
