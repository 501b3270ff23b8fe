"""The usual reasons for scrap and downtime: the owner's lists, which stations offer as keys."""

import pytest
import sqlalchemy as sa

from app.stations.models import ReasonUse, UsualReason
from app.stations.queries import usual_reasons
from tests.factories.stations import ShopFactory, StationFactory


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


def reason(session, words):
    session.rollback()
    return session.scalars(sa.select(UsualReason).where(UsualReason.words == words)).one()


def test_a_new_shop_begins_with_the_usual_ones(session):
    assert usual_reasons(session, ReasonUse.SCRAP)[:2] == ["Wrong size", "Tool broke"]
    assert usual_reasons(session, ReasonUse.DOWNTIME)[0] == "Broke down"


def test_the_owner_adds_a_reason_and_stations_offer_it(as_owner, session):
    station = StationFactory()
    answer = as_owner.post("/shop/reasons/downtime", data={"downtime-words": "Coolant  leak"})
    assert answer.location == "/shop/reasons"
    assert 'value="Coolant leak"' in as_owner.get(f"/floor/stations/{station.id}/downtimes").text
    assert "Coolant leak" not in usual_reasons(session, ReasonUse.SCRAP)


def test_a_retired_reason_is_offered_no_longer_and_may_be_offered_again(as_owner, session):
    broke = reason(session, "Tool broke")
    as_owner.post(f"/shop/reasons/{broke.id}/retire")
    session.rollback()
    assert "Tool broke" not in usual_reasons(session, ReasonUse.SCRAP)
    assert "Retired" in as_owner.get("/shop/reasons").text
    as_owner.post("/shop/reasons/scrap", data={"scrap-words": "tool broke"})
    assert reason(session, "Tool broke").active
    as_owner.post(f"/shop/reasons/{broke.id}/retire")
    as_owner.post(f"/shop/reasons/{broke.id}/offer")
    assert reason(session, "Tool broke").active


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("", "Type the reason."),
        ("x" * 41, "Use 40 characters or fewer."),
        ("wrong SIZE", "Wrong size is offered already"),
    ],
)
def test_what_is_wrong_is_said_beside_the_field_and_kept(as_owner, session, typed, sentence):
    before = usual_reasons(session, ReasonUse.SCRAP)
    answer = as_owner.post("/shop/reasons/scrap", data={"scrap-words": typed})
    assert answer.status_code == 422
    assert sentence in answer.text
    assert f'value="{typed}"' in answer.text
    session.rollback()
    assert usual_reasons(session, ReasonUse.SCRAP) == before


def test_others_than_owners_read_the_lists_and_change_nothing(as_setup_lead, session):
    page = as_setup_lead.get("/shop/reasons").text
    assert "Wrong size" in page
    assert "Retire" not in page
    assert as_setup_lead.post("/shop/reasons/scrap", data={"scrap-words": "Other"}).status_code == 403
    broke = reason(session, "Tool broke")
    assert as_setup_lead.post(f"/shop/reasons/{broke.id}/retire").status_code == 403
    assert as_setup_lead.post(f"/shop/reasons/{broke.id}/offer").status_code == 403


def test_a_reason_that_is_not_there_is_not_found(as_owner):
    assert as_owner.post("/shop/reasons/999/retire").status_code == 404
    assert as_owner.post("/shop/reasons/weather", data={"weather-words": "Rain"}).status_code == 404
