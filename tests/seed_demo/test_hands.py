"""What the demo's floor says beside its pieces."""

from datetime import timedelta
from types import SimpleNamespace

import sqlalchemy as sa

from app.lots import services as ledger
from app.lots.models import Job, JobState
from app.people.models import Role
from seed_demo.hands import press_breaks_down
from tests.factories.lots import act, make_lot, station_of
from tests.factories.people import PersonFactory
from tests.factories.stations import ShopFactory


def test_what_runs_at_the_press_pauses_when_it_breaks_down(session, now):
    ShopFactory()
    person, lot = PersonFactory(roles=[Role.OPERATOR]), make_lot(session)
    station = station_of(lot.operations[0])

    def now_by(who, station_id=None):
        return act(station_id=station_id, happened_at=now, recorded_at=now, person_id=person.id)

    ledger.begin(session, now_by("MP", station.id), [lot.operations[0].id])
    world = SimpleNamespace(session=session, now=int(now.timestamp()), act=now_by)
    press_breaks_down(world, station.id, now + timedelta(days=2))
    assert session.scalars(sa.select(Job.state)).all() == [JobState.PAUSED]
