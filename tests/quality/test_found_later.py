"""Pieces that turn out bad after they have moved on: held, decided about in stock, every one accounted for."""

from decimal import Decimal

import pytest
import sqlalchemy as sa

from app.lots.errors import LotOnHoldError
from app.lots.queries.verify import differences
from app.lots.services import SignOff, ship_pieces, sign_off
from app.quality import queries
from app.quality.errors import (
    FarOutError,
    FoundHowError,
    NoneLeftHereError,
    NoSuchMeasuringError,
    NotOutError,
    NotThatManyLeftError,
    ReworkWhereError,
)
from app.quality.models import Nonconformance, Outcome
from app.quality.services import FoundLater, NewDisposition, NewReading, dispose, report_found_later
from app.review.queries.last_day import last_day
from app.trace.queries import Kind, days_between, get_subject, trace
from tests.factories.lots import MORNING, whereabouts
from tests.factories.material import VendorFactory
from tests.factories.stations import ShopFactory
from tests.quality.measured import AtStation, measured_lot


@pytest.fixture
def finished(session):
    """Return the station of a lot of ten that was measured, signed off and finished."""
    station = AtStation(
        session, measured_lot(session, {"checking_kind": "first and last", "recording_kind": "first and last"})
    ).begin()
    for piece in (1, 10):
        station.read("0.5001", piece=piece)
    for operation in station.lot.operations:
        sign_off(session, station.act(station_id=None), [SignOff(operation.id, 10)])
    assert station.lot.in_stock == 10
    return station


def report(station, typed="0.5012", *, pieces=4, how="read again: gauge was out", key=None, **reading):
    what = {"characteristic_id": station.operation.characteristics[0].id, "piece": 7, **reading}
    circumstances = station.act(key=key) if key else station.act()
    return report_found_later(
        station.session, circumstances, station.lot.id, FoundLater(NewReading(typed=typed, **what), pieces, how)
    )


def decide(station, found, outcome, pieces, **facts):
    new = NewDisposition(outcome, pieces, found.left, None, "bore too large", **facts)
    return dispose(station.session, station.act(), found.id, new)


def test_the_lot_is_held_in_stock_and_every_outcome_accounts_for_its_pieces(session, finished):
    found, lot = report(finished), finished.lot
    assert (found.first_piece, found.last_piece, found.left, lot.hold_reason) == (
        4,
        7,
        4,
        "N1: 1 Bore out of tolerance",
    )
    with pytest.raises(LotOnHoldError):
        ship_pieces(session, finished.act(), lot.id, 1)
    assert queries.whereabouts(found).likely_id is None
    decide(finished, found, Outcome.SCRAP, 1, cost=Decimal(12))
    decide(finished, found, Outcome.BACK_TO_VENDOR, 1, vendor_id=VendorFactory().id)
    with pytest.raises(ReworkWhereError):
        decide(finished, found, Outcome.REWORK, 1, to_operation_id=0)
    decide(finished, found, Outcome.REWORK, 1, to_operation_id=finished.operation.id)
    decide(finished, found, Outcome.USE_AS_IS, 1, agreed_by="R. Novak, by mail")
    last = lot.operations[-1].number
    assert whereabouts(lot) == {"10 waiting": 1, f"{last} scrapped": 1, f"{last} at_vendor": 1, "in_stock": 7}
    assert (found.closed_at is not None, lot.on_hold, lot.closed_at) == (True, False, None)
    assert list(differences(session)) == []


def test_what_was_decided_in_stock_is_in_the_trace_and_counts_as_scrap_of_the_day(session, finished):
    ShopFactory()
    found = report(finished)
    decide(finished, found, Outcome.SCRAP, 1, cost=Decimal(12))
    decide(finished, found, Outcome.BACK_TO_VENDOR, 2, vendor_id=VendorFactory().id)
    day = MORNING.date()
    asked = get_subject(session, Kind.LOT, finished.lot.id), days_between(session, day, day)
    [work] = [each.lines for each in trace(session, *asked).sections if each.name == "work"]
    assert [(line.result, line.pieces) for line in work][:2] == [("back to the vendor", 2), ("scrap", 1)]
    assert last_day(session, MORNING).scrap == 1


def test_sent_twice_it_counts_once(session, finished):
    first = report(finished, key="found-1")
    assert report(finished, key="found-1").id == first.id
    assert session.scalars(sa.select(sa.func.count(Nonconformance.id))).one() == 1


@pytest.mark.parametrize(
    ("typed", "facts", "error"),
    [
        ("0.5001", {}, NotOutError),
        ("0.5012", {"pieces": 11}, NotThatManyLeftError),
        ("0.5012", {"pieces": 0}, NotThatManyLeftError),
        ("0.5012", {"how": " "}, FoundHowError),
        ("5.012", {}, FarOutError),
        ("0.5012", {"characteristic_id": 0}, NoSuchMeasuringError),
    ],
)
def test_what_makes_no_sense_is_refused_and_nothing_is_kept(session, finished, typed, facts, error):
    with pytest.raises(error):
        report(finished, typed, **facts)
    assert (finished.lot.on_hold, session.scalars(sa.select(Nonconformance)).all()) == (False, [])


def test_of_a_lot_that_has_left_nothing_can_be_held(session, finished):
    ship_pieces(session, finished.act(), finished.lot.id, 10)
    with pytest.raises(NoneLeftHereError):
        report(finished)


def test_its_page_keeps_what_was_typed_asks_in_doubt_and_leads_to_the_decision(as_inspector, finished):
    client = as_inspector
    address = f"/nonconformances/found-later/{finished.lot.id}"
    assert 'value="10"' in client.get(address).text
    sent = {"of": finished.operation.characteristics[0].id, "typed": "5.012", "pieces": "4", "how": "read again"}
    refused = client.post(address, data=sent)
    assert (refused.status_code, "lies far outside" in refused.text, 'value="5.012"' in refused.text) == (
        422,
        True,
        True,
    )
    kept = client.post(address, data={**sent, "certain": "y"})
    assert kept.status_code == 303
    page = client.get(kept.location).text
    assert "found out after they had moved on: read again" in page
    assert "finished, in stock" in page
