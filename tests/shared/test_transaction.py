"""Transactions on both databases, with two connections at once."""

import pytest
import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Posting
from app.people.models import Person, PersonRole, Role
from app.shared.database import DoomedTransactionError, UnsavedChangesError, change_number, transaction
from app.stations.models import WorkCenter


def add_person(session: orm.Session, name: str, initials: str) -> None:
    session.add(Person(name=name, initials=initials, role_rows=[PersonRole(role=Role.OPERATOR)]))


def names(engine: sa.Engine) -> list[str]:
    with orm.Session(engine) as fresh:
        return list(fresh.scalars(sa.select(Person.name).order_by(Person.name)))


def test_what_a_use_case_wrote_is_committed(engine, session):
    with transaction(session):
        add_person(session, "Ada", "A")
    assert names(engine) == ["Ada"]


def test_an_error_keeps_nothing(engine, session):
    with pytest.raises(RuntimeError, match="half way"), transaction(session):
        add_person(session, "Ada", "A")
        session.flush()
        raise RuntimeError("half way")
    assert names(engine) == []


def test_an_inner_error_dooms_the_outer_use_case_even_when_it_is_caught(engine, session):
    with pytest.raises(DoomedTransactionError), transaction(session):
        add_person(session, "Ada", "A")
        with pytest.raises(RuntimeError), transaction(session):
            raise RuntimeError("inner")
    assert names(engine) == []


def test_changes_made_outside_a_use_case_are_refused(session):
    add_person(session, "Ada", "A")
    with pytest.raises(UnsavedChangesError), transaction(session):
        pass
    session.rollback()


def test_a_use_case_reads_afresh_what_another_connection_has_changed(engine, session):
    add_person(session, "Ada", "A")
    session.commit()
    mine = session.scalars(sa.select(Person)).one()
    with orm.Session(engine) as other, transaction(other):
        other.scalars(sa.select(Person)).one().name = "Ada Byron"
    assert mine.name == "Ada"
    with transaction(session):
        assert mine.name == "Ada Byron"
        mine.initials = "AB"
    assert names(engine) == ["Ada Byron"]


def test_only_what_planning_reads_adds_one_to_the_change_number(session):
    before = change_number(session)
    with transaction(session):
        add_person(session, "Ada", "A")
    assert change_number(session) == before
    with transaction(session):
        session.add(WorkCenter(name="Drills"))
        session.flush()
        session.add(WorkCenter(name="Mills"))
    assert change_number(session) == before + 1


def test_what_is_only_looked_up_cannot_be_put_in_and_lost():
    with pytest.raises(TypeError, match="set the key"):
        Posting(person=Person(name="Ada", initials="A"))
