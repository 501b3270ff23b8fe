"""A lease: one holder at a time for each kind of work, taken over when it gives no sign of life."""

from datetime import timedelta

import pytest
import sqlalchemy as sa

from app.shared.database import transaction
from app.shared.lease import BEAT_EVERY, STALE_AFTER, HeldLease, Lease, give_up_lease, hold_lease, still_holds


def test_a_holder_without_a_sign_of_life_is_taken_over(session, now):
    assert hold_lease(session, "work", "gone", now)
    assert not hold_lease(session, "work", "next", now + STALE_AFTER - timedelta(seconds=1))
    assert hold_lease(session, "work", "next", now + STALE_AFTER)
    assert not hold_lease(session, "work", "gone", now + STALE_AFTER + timedelta(seconds=1))


def test_each_kind_of_work_has_a_lease_of_its_own(session, now):
    assert hold_lease(session, "planner", "one", now)
    assert hold_lease(session, "keeper", "two", now)
    with transaction(session):
        assert still_holds(session, "planner", "one")
        assert not still_holds(session, "planner", "two")
        assert not still_holds(session, "nothing", "one")


def test_only_its_holder_gives_it_up(session, now):
    hold_lease(session, "work", "one", now)
    give_up_lease(session, "work", "two")
    assert not hold_lease(session, "work", "two", now)
    give_up_lease(session, "work", "one")
    assert hold_lease(session, "work", "two", now)


@pytest.mark.parametrize(("later", "beats"), [(BEAT_EVERY - timedelta(seconds=1), False), (BEAT_EVERY, True)])
def test_a_sign_of_life_is_written_only_when_it_is_time(engine, session, now, later, beats):
    held = HeldLease(engine, "work", "one")
    assert held.hold(now)
    assert held.hold(now + later)
    assert (session.scalars(sa.select(Lease.heartbeat_at)).one() > now) is beats


def test_a_clock_that_was_put_back_is_a_sign_of_life_too(engine, session, now):
    held = HeldLease(engine, "work", "one")
    held.hold(now)
    assert held.hold(now - timedelta(hours=1))
    assert session.scalars(sa.select(Lease.heartbeat_at)).one() == now - timedelta(hours=1)
