"""Overtime of a station and of its whole work center."""

from datetime import UTC, datetime, timedelta

import pytest
import sqlalchemy as sa

from app.stations.models import Overtime
from tests.factories.stations import OvertimeFactory, ShopFactory, StationFactory

SATURDAY = {"starts_at": "2026-01-10T06:00", "ends_at": "2026-01-10T12:00", "reason": "pump order"}
CHICAGO_6 = datetime(2026, 1, 10, 12, tzinfo=UTC)


@pytest.fixture
def mill(session):
    ShopFactory()
    return StationFactory(name="Mill 1")


def stored(session):
    session.rollback()
    return list(session.scalars(sa.select(Overtime).order_by(Overtime.station_id)))


def test_extra_hours_are_typed_on_the_shops_wall_clock(as_setup_lead, mill, session):
    response = as_setup_lead.post(f"/stations/{mill.id}/overtimes", data=SATURDAY)
    assert (response.status_code, response.location) == (303, f"/stations/{mill.id}")
    (kept,) = stored(session)
    assert (kept.starts_at, kept.ends_at - kept.starts_at) == (CHICAGO_6, timedelta(hours=6))
    page = as_setup_lead.get(f"/stations/{mill.id}").text
    assert "Sat 10 Jan 06:00" in page
    assert "pump order" in page


def test_one_step_opens_the_whole_work_center(as_owner, mill, session):
    twin = StationFactory(work_center=mill.work_center)
    StationFactory(work_center=mill.work_center, active=False)
    StationFactory()
    as_owner.post(f"/stations/{mill.id}/overtimes", data={**SATURDAY, "everywhere": "y"})
    assert [each.station_id for each in stored(session)] == [mill.id, twin.id]


def test_an_overlap_at_any_of_them_is_refused_by_name_and_nothing_is_stored(as_owner, mill, session):
    twin = StationFactory(name="Mill 2", work_center=mill.work_center)
    OvertimeFactory(station=twin, starts_at=CHICAGO_6, ends_at=CHICAGO_6 + timedelta(hours=1))
    response = as_owner.post(f"/stations/{mill.id}/overtimes", data={**SATURDAY, "everywhere": "y"})
    assert response.status_code == 422
    assert "Mill 2 already has overtime until Sat 10 Jan 07:00. Change that one instead." in response.text
    assert len(stored(session)) == 1


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"starts_at": ""}, "Enter when the extra hours begin."),
        ({"ends_at": ""}, "Enter when the extra hours end."),
        ({"ends_at": "2026-01-10T05:00"}, "It has to end after it starts."),
        ({"ends_at": "2027-01-10T12:00"}, "Overtime lasts 7 days at most. Change the shifts if the hours are to stay."),
    ],
)
def test_what_cannot_be_is_refused_beside_the_field_and_nothing_is_stored(as_owner, mill, session, wrong, message):
    response = as_owner.post(f"/stations/{mill.id}/overtimes", data={**SATURDAY, **wrong})
    assert response.status_code == 422
    assert message in response.text
    assert 'value="pump order"' in response.text
    assert stored(session) == []


def test_overtime_is_changed_and_removed(as_owner, mill, session):
    overtime = OvertimeFactory(station=mill, starts_at=CHICAGO_6, ends_at=CHICAGO_6 + timedelta(hours=1))
    path = f"/stations/{mill.id}/overtimes/{overtime.id}"
    assert 'value="2026-01-10T06:00"' in as_owner.get(f"{path}/edit").text
    assert as_owner.post(path, data={**SATURDAY, "ends_at": "2026-01-10T05:00"}).status_code == 422
    assert as_owner.post(path, data=SATURDAY).status_code == 303
    assert stored(session)[0].ends_at == CHICAGO_6 + timedelta(hours=6)
    as_owner.post(f"{path}/remove")
    assert stored(session) == []
    gone = as_owner.post(f"{path}/remove")
    assert gone.status_code == 404
    assert "This entry is gone" in gone.text
