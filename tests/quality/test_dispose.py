"""A piece out of tolerance: suspects are named and held, and every piece of them is accounted for."""

from decimal import Decimal

import pytest
import sqlalchemy as sa

from app.lots.errors import EntryRefusedError, LotOnHoldError
from app.lots.models import Lot
from app.lots.queries.verify import differences
from app.lots.services import SignOff, count_so_far, sign_off, undo
from app.quality import queries
from app.quality.errors import (
    AgreedByMissingError,
    AlreadySplitError,
    CostMissingError,
    DecidedMeanwhileError,
    MayNotStrikeError,
    NotSoManyHereError,
    ReworkWhereError,
    SameKeyError,
    VendorMissingError,
    WhyMissingError,
)
from app.quality.models import Nonconformance, Outcome
from app.quality.services import NewDisposition, dispose, split_suspects, strike_reading
from tests.factories.lots import whereabouts
from tests.factories.material import VendorFactory
from tests.factories.people import PersonFactory
from tests.quality.measured import AtStation, measured_lot


@pytest.fixture
def station(session):
    """Return a station at which pieces 4 to 6 of 10 are suspect: 3 was good, 6 is out."""
    station = AtStation(session, measured_lot(session)).begin()
    station.read("0.5001", piece=3)
    count_so_far(session, station.act(), station.operation.id, 6)
    station.read("0.5012", piece=6)
    return station


def found(session) -> Nonconformance:
    session.expire_all()
    return session.scalars(sa.select(Nonconformance)).one()


def decide(session, station, outcome, pieces, *, key=None, **facts):
    row = found(session)
    known = {"left": row.left, "at_operation_id": queries.whereabouts(row).found_at.id, "reason": "tool chipped"}
    circumstances = station.act(key=key) if key else station.act()
    return dispose(session, circumstances, row.id, NewDisposition(outcome, pieces, **{**known, **facts}))


def test_the_pieces_since_the_last_good_reading_are_suspect_and_the_lot_is_on_hold(session, station):
    row = found(session)
    assert (row.first_piece, row.last_piece, row.pieces, row.left) == (4, 6, 3, 3)
    assert row.lot.hold_reason == "N1: 1 Bore out of tolerance"
    assert queries.standing_words(row.reading) == "0.0007 in above the upper limit"
    with pytest.raises(LotOnHoldError):
        sign_off(session, station.act(), [SignOff(station.operation.id, 1)])


def test_another_bad_reading_widens_what_is_open(session, station):
    station.read("0.5013", piece=8)
    row = found(session)
    assert (row.first_piece, row.last_piece, row.pieces) == (4, 8, 5)


def test_split_off_the_suspects_stay_on_hold_and_the_rest_goes_on(session, station):
    child = split_suspects(session, station.act(), found(session).id)
    lot = station.lot
    session.expire_all()
    assert (lot.on_hold, child.hold_reason) == (False, "N1: 1 Bore out of tolerance")
    assert whereabouts(child) == {"10 waiting": 3}
    assert whereabouts(lot) == {"10 counted": 3, "10 in_work": 4, "in_other_lots": 3}
    with pytest.raises(AlreadySplitError):
        split_suspects(session, station.act(), found(session).id)
    decide(session, station, Outcome.SCRAP, 3, cost=Decimal(120))
    session.expire_all()
    assert (whereabouts(child), child.on_hold) == ({"10 scrapped": 3}, False)
    assert list(differences(session)) == []


def test_suspects_that_are_not_all_there_cannot_be_split_off(session):
    station = AtStation(session, measured_lot(session)).begin(pieces=[1])
    station.read("0.5012", piece=6)
    with pytest.raises(AlreadySplitError, match="Only 1 piece made is"):
        split_suspects(session, station.act(), found(session).id)


def test_every_outcome_leaves_every_piece_accounted_for_and_the_last_ends_the_hold(session, station):
    scrapped = decide(session, station, Outcome.SCRAP, 1, cost=Decimal("40.50"))
    decide(session, station, Outcome.REWORK, 1, to_operation_id=station.operation.id)
    assert found(session).lot.on_hold
    decide(session, station, Outcome.USE_AS_IS, 1, agreed_by="R. Novak, by mail")
    row = found(session)
    assert (row.left, row.closed_at is not None, row.lot.on_hold) == (0, True, False)
    assert sum(whereabouts(row.lot).values()) == 10
    assert row.lot.operations[0].scrapped == 1
    assert [each.outcome for each in row.dispositions] == [Outcome.SCRAP, Outcome.REWORK, Outcome.USE_AS_IS]
    assert scrapped.cost == Decimal("40.5")
    assert list(differences(session)) == []
    assert queries.measuring(session, station.operation, station.clock.now).bad == []


def test_split_off_and_used_as_they_are_they_pass_without_readings_of_their_own(session, station):
    child = split_suspects(session, station.act(), found(session).id)
    decide(session, station, Outcome.USE_AS_IS, 3, agreed_by="R. Novak, by mail")
    first = session.get_one(Lot, child.id).operations[0]
    sign_off(session, station.act(), [SignOff(first.id, 3)])
    assert first.passed == 3


def test_back_to_the_vendor_they_leave_the_count_and_are_no_scrap_of_the_shop(session, station):
    vendor = VendorFactory()
    assert decide(session, station, Outcome.BACK_TO_VENDOR, 3, vendor_id=vendor.id).vendor_id == vendor.id
    assert whereabouts(found(session).lot) == {"10 at_vendor": 3, "10 counted": 3, "10 in_work": 4}
    assert queries.made_so_far(station.operation).done == 3
    assert list(differences(session)) == []


def test_what_was_decided_is_not_undone_in_the_ledger(session, station):
    moved = decide(session, station, Outcome.SCRAP, 3, cost=Decimal(0)).posting_id
    with pytest.raises(EntryRefusedError, match="decided about N1"):
        undo(session, station.act(), moved)
    assert found(session).lot.operations[0].scrapped == 3


@pytest.mark.parametrize(
    ("outcome", "pieces", "facts", "error"),
    [
        (Outcome.SCRAP, 3, {}, CostMissingError),
        (Outcome.SCRAP, 0, {"cost": Decimal(1)}, NotSoManyHereError),
        (Outcome.SCRAP, 4, {"cost": Decimal(1)}, NotSoManyHereError),
        (Outcome.SCRAP, 1, {"cost": Decimal(1), "reason": " "}, WhyMissingError),
        (Outcome.USE_AS_IS, 3, {"agreed_by": " "}, AgreedByMissingError),
        (Outcome.BACK_TO_VENDOR, 3, {}, VendorMissingError),
        (Outcome.REWORK, 3, {}, ReworkWhereError),
    ],
)
def test_what_is_left_out_is_asked_for_and_nothing_is_kept(session, station, outcome, pieces, facts, error):
    with pytest.raises(error):
        decide(session, station, outcome, pieces, **facts)
    assert (found(session).decided, whereabouts(station.lot)) == (0, {"10 counted": 6, "10 in_work": 4})


def test_two_inspectors_at_once_the_second_is_told_what_the_first_decided(session, station):
    station.person_id = PersonFactory(name="Ines Ruiz").id
    decide(session, station, Outcome.SCRAP, 2, cost=Decimal(0))
    with pytest.raises(
        DecidedMeanwhileError, match="Ines Ruiz has decided about some of these pieces meanwhile: 1 are"
    ):
        decide(session, station, Outcome.SCRAP, 2, cost=Decimal(0), left=3)
    assert found(session).left == 1


def test_a_decision_sent_twice_counts_once(session, station):
    once = {"cost": Decimal(5), "left": 3}
    first = decide(session, station, Outcome.SCRAP, 1, key="decision-1", **once)
    assert decide(session, station, Outcome.SCRAP, 1, key="decision-1", **once).id == first.id
    with pytest.raises(SameKeyError):
        decide(session, station, Outcome.SCRAP, 2, key="decision-1", **once)
    assert found(session).decided == 1


def test_struck_out_by_an_inspector_a_slip_makes_nothing_suspect_any_more(session, station):
    slip = found(session).reading_id
    with pytest.raises(MayNotStrikeError):
        strike_reading(session, station.act(), slip, "read the wrong scale", PersonFactory(roles=["operator"]))
    strike_reading(session, station.act(), slip, "read the wrong scale", PersonFactory(roles=["inspector"]))
    row = found(session)
    assert (row.closed_at is not None, row.decided, row.lot.on_hold) == (True, 0, False)
