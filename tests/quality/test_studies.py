"""Studies of gauges: recorded as they were written down, judged both ways, and off until they are switched on."""

import pytest
import sqlalchemy as sa

from app.parts.models import QualitySwitches
from app.quality.models import Gauge, GaugeStudy
from tests.factories.quality import GaugeFactory

LINES = "\n".join(
    f"{who} {part} {0.5 + part / 1000 + shift:.4f} {0.5001 + part / 1000 + shift:.4f}"
    for who, shift in (("Ann", 0.0), ("Ben", 0.0001))
    for part in range(1, 6)
)


@pytest.fixture
def gauge(session) -> Gauge:
    session.scalars(sa.select(QualitySwitches)).one().studies = True
    session.commit()
    return GaugeFactory()


def send(client, gauge, lines, key="study-key-1"):
    return client.post(f"/gauges/{gauge.id}/studies", data={"key": key, "lines": lines, "characteristic_id": ""})


def test_a_study_is_kept_once_and_judged_both_ways(as_inspector, session, gauge):
    answer = send(as_inspector, gauge, LINES)
    assert answer.status_code == 303
    assert send(as_inspector, gauge, LINES).location == answer.location
    session.rollback()
    study = session.scalars(sa.select(GaugeStudy)).one()
    assert (study.appraisers, study.typed[1][0]) == (["Ann", "Ben"], ["0.5011", "0.5012"])
    page = as_inspector.get(answer.location).text
    assert "By averages and ranges" in page
    assert "By analysis of variance" in page
    assert "groups of parts apart" in page
    assert answer.location.rsplit("/", 1)[1] in as_inspector.get(f"/gauges/{gauge.id}").text


@pytest.mark.parametrize(
    ("lines", "sentence"),
    [
        ("", "Type a line for each person and part."),
        ("Ann 1 0.5", "Line 1: type who, which part"),
        ("Ann 1 0.5 half", "Line 1: Type a number"),
        ("Ann 1 0.5 0.6\nAnn 1 0.5 0.6", "Line 2: Ann has part 1 twice."),
        ("Ann 1 0.5 0.6\nAnn 2 0.5 0.6\nBen 1 0.5 0.6", "Ben has 0 values of part 2, others have 2."),
        ("Ann 1 0.5 0.6", "at least 2 are needed"),
    ],
)
def test_what_makes_no_study_is_said_beside_the_values(as_inspector, session, gauge, lines, sentence):
    answer = send(as_inspector, gauge, lines)
    assert answer.status_code == 422
    assert sentence in answer.text
    assert session.scalars(sa.select(GaugeStudy)).all() == []


def test_studies_are_off_until_they_are_switched_on(as_owner, session):
    gauge = GaugeFactory()
    assert "Record a study" not in as_owner.get(f"/gauges/{gauge.id}").text
    as_owner.post("/quality", data={"studies": "y"})
    assert "Record a study" in as_owner.get(f"/gauges/{gauge.id}").text
