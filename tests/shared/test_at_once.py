"""Single rows written at once, without a flush."""

import pytest
import sqlalchemy as sa

from app.shared.at_once import delete_now, insert_now
from app.shared.database import change_number, transaction
from app.stations.models import WorkCenter


def centers(session):
    return session.scalars(sa.select(WorkCenter.name).order_by(WorkCenter.id)).all()


def test_a_row_is_there_at_once_with_its_key_and_is_the_one_that_is_read_later(session):
    with transaction(session):
        mills = WorkCenter(name="Mills")
        insert_now(session, mills)
        assert session.scalars(sa.select(WorkCenter).where(WorkCenter.id == mills.id)).one() is mills
    mills.name = "Large mills"
    session.commit()
    assert centers(session) == ["Large mills"]


def test_what_a_failed_use_case_inserted_is_forgotten_and_the_next_may_have_its_key(session):
    lost = WorkCenter(name="Mills")
    with pytest.raises(RuntimeError, match="half way"), transaction(session):
        insert_now(session, lost)
        raise RuntimeError("half way")
    assert lost not in session
    with transaction(session):
        insert_now(session, WorkCenter(name="Drills"))
    assert centers(session) == ["Drills"]


def test_a_deleted_row_is_gone_and_forgotten(session):
    with transaction(session):
        brief = WorkCenter(name="Mills")
        insert_now(session, brief)
        delete_now(session, brief)
    assert brief not in session
    assert centers(session) == []


def test_planning_looks_again_after_either(session):
    numbers = [change_number(session)]
    mills = WorkCenter(name="Mills")
    for change in (insert_now, delete_now):
        with transaction(session):
            change(session, mills)
        numbers.append(change_number(session))
    assert numbers == [numbers[0], numbers[0] + 1, numbers[0] + 2]
