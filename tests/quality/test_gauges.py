"""Gauges: listed, calibrated, blocked; one found out names every reading since it was last known good."""

from datetime import date
from decimal import Decimal

import pytest
import sqlalchemy as sa

from app.quality.models import Calibration, Condition, Gauge
from app.quality.queries import doubtful_readings, get_gauge, too_coarse
from app.quality.services import NewCalibration, record_calibration
from app.quality.services.gauges import months_later
from tests.factories.lots import act, make_routing
from tests.factories.quality import CharacteristicFactory, GaugeFactory, GaugeKindFactory
from tests.quality.measured import AtStation, measured_lot

MICROMETER = {
    "name": "M-07",
    "kind": "Outside micrometer",
    "unit": "in",
    "range_low": "0",
    "range_high": "1",
    "resolution": "0.0001",
    "interval_months": "12",
    "when_overdue": "block",
    "active": "y",
}
CALIBRATION = {
    "key": "calibration-1",
    "made_on": "2026-01-05",
    "as_found": "good",
    "as_left": "good",
    "certificate": "C 77",
}


def gauges(session):
    session.rollback()
    return session.scalars(sa.select(Gauge)).all()


def test_a_gauge_is_blocked_until_its_first_calibration_is_on_record(as_inspector, session):
    assert as_inspector.post("/gauges", data=MICROMETER).status_code == 303
    [gauge] = gauges(session)
    page = as_inspector.get(f"/gauges/{gauge.id}").text
    assert "Unknown: blocked" in page
    assert as_inspector.post(f"/gauges/{gauge.id}/calibrations", data=CALIBRATION).status_code == 303
    assert as_inspector.post(f"/gauges/{gauge.id}/calibrations", data=CALIBRATION).status_code == 303  # sent twice
    [gauge] = gauges(session)
    assert (gauge.condition, gauge.due_on) == (Condition.GOOD, date(2027, 1, 5))
    assert session.scalars(sa.select(sa.func.count(Calibration.id))).one() == 1
    assert "In order" in as_inspector.get("/gauges").text


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"name": ""}, "Enter what is engraved on it"),
        ({"range_high": "0"}, "must end above"),
        ({"resolution": "0"}, "above 0"),
        ({"resolution": "fine"}, "is not one"),
        ({"interval_months": "0"}, "It must be 1 or more."),
    ],
)
def test_what_makes_no_sense_is_refused_beside_its_field(as_inspector, session, typed, sentence):
    answer = as_inspector.post("/gauges", data=MICROMETER | typed)
    assert answer.status_code == 422
    assert sentence in answer.text
    assert gauges(session) == []


def test_a_name_is_given_once_and_a_calibration_is_not_of_the_future(as_inspector, session):
    as_inspector.post("/gauges", data=MICROMETER)
    assert "already a gauge m-07" in as_inspector.post("/gauges", data=MICROMETER | {"name": "m-07"}).text
    [gauge] = gauges(session)
    answer = as_inspector.post(f"/gauges/{gauge.id}/calibrations", data=CALIBRATION | {"made_on": "2026-02-01"})
    assert "lies in the future" in answer.text


def test_a_gauge_with_readings_is_not_deleted_and_one_without_is(as_inspector, session):
    kind = GaugeKindFactory()
    used, unused = GaugeFactory(kind=kind), GaugeFactory(kind=kind)
    AtStation(session, measured_lot(session, {"gauge_kind_id": kind.id})).begin().read("0.5001", gauge_id=used.id)
    answer = as_inspector.post(f"/gauges/{used.id}/delete")
    assert answer.status_code == 422
    assert "1 reading or calibration on record and cannot be deleted" in answer.text
    assert as_inspector.post(f"/gauges/{unused.id}/delete").status_code == 303
    assert [each.name for each in gauges(session)] == [used.name]


def test_found_out_it_lists_every_reading_since_its_last_good_calibration(as_inspector, session):
    kind = GaugeKindFactory()
    gauge = GaugeFactory(kind=kind, calibrated_on=None, condition=None)

    def calibrated(day, found, left):
        record_calibration(session, act(), gauge.id, NewCalibration(day, found, left))

    calibrated(date(2025, 12, 1), Condition.OUT, Condition.GOOD)
    station = AtStation(session, measured_lot(session, {"gauge_kind_id": kind.id})).begin()
    station.read("0.5001", gauge_id=gauge.id)
    station.read("0.5002", gauge_id=gauge.id, piece=2)
    calibrated(date(2026, 1, 7), Condition.OUT, Condition.OUT)
    [newest, first] = doubtful_readings(session, get_gauge(session, gauge.id))
    assert (newest.since, [each.typed for each in newest.readings]) == (date(2025, 12, 1), ["0.5001", "0.5002"])
    assert (first.since, first.readings) == (None, [])
    page = as_inspector.get(f"/gauges/{gauge.id}").text
    assert "0.5002 in" in page
    assert "Failed: blocked" in page


def test_only_an_owner_lets_stations_merely_warn_of_an_overdue_gauge(as_inspector, as_owner, session):
    gauge = GaugeFactory()
    typed = {
        "name": gauge.name,
        "kind": gauge.kind.name,
        "interval_months": "12",
        "when_overdue": "warn",
        "active": "y",
    }
    refused = as_inspector.post(f"/gauges/{gauge.id}", data=typed)
    assert (refused.status_code, "Only an owner lets stations merely warn" in refused.text) == (422, True)
    assert as_owner.post(f"/gauges/{gauge.id}", data=typed).status_code == 303
    assert as_inspector.post(f"/gauges/{gauge.id}", data=typed).status_code == 303  # it stays as the owner set it


@pytest.mark.parametrize(("resolution", "unit", "named"), [("0.0001", "in", 0), ("0.0005", "in", 1), ("0.01", "mm", 1)])
def test_a_gauge_coarser_than_a_tenth_of_the_tolerance_is_named(session, resolution, unit, named):
    """0.001 in of tolerance wants a step of 0.0001 in (AIAG MSA, ten to one; from memory)."""
    kind = GaugeKindFactory()
    CharacteristicFactory(revision=make_routing().revision, gauge_kind_id=kind.id)
    gauge = GaugeFactory(kind=kind, resolution=Decimal(resolution), unit=unit)
    assert len(too_coarse(session, gauge)) == named


@pytest.mark.parametrize(
    ("day", "months", "then"),
    [
        (date(2025, 8, 31), 6, date(2026, 2, 28)),
        (date(2025, 12, 1), 1, date(2026, 1, 1)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
    ],
)
def test_months_later(day, months, then):
    assert months_later(day, months) == then


def test_an_operator_reads_gauges_and_changes_nothing(as_operator):
    assert as_operator.get("/gauges").status_code == 200
    assert as_operator.post("/gauges", data=MICROMETER).status_code == 403
