"""Lots of the same part, revision and next operation become one; where their pieces came from is kept."""

from dataclasses import replace
from datetime import date

import pytest

from app.lots.errors import JoinError, ReasonMissingError
from app.lots.models import Lot
from app.lots.queries import changes_of, get_lot, lot_name, lots_to_join
from app.lots.queries.joins import heats_through
from app.lots.queries.verify import differences
from app.lots.services import (
    Share,
    SignOff,
    hold_lot,
    hold_pieces,
    join_lots,
    sign_off,
    skip_operation,
    split_lot,
    undo,
)
from tests.factories.lots import act, make_lot, make_routing, whereabouts
from tests.factories.material import ReceiptFactory
from tests.factories.orders import DeliveryFactory, OrderLineFactory
from tests.factories.schedule import plan_now, runs_of
from tests.factories.stations import ShopFactory


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


@pytest.fixture
def routing(session):
    return make_routing()


@pytest.fixture
def two(session, routing) -> list[Lot]:
    """Return two lots of one part, the pieces of both waiting at the second operation."""
    lots = [make_lot(session, pieces=pieces, routing=routing) for pieces in (20, 8)]
    for lot in lots:
        sign_off(session, act(), [SignOff(lot.operations[0].id, lot.started)])
    return lots


def because(why: str = "one cart"):
    return replace(act(), note=why)


def test_pieces_go_on_in_one_lot_and_the_other_closes(session, two):
    lot, joined = two
    join_lots(session, because(), lot.id, joined.id)
    assert whereabouts(lot) == {"20 waiting": 28}
    assert whereabouts(joined) == {"in_other_lots": 8}
    assert joined.closed_at
    assert (lot.started, lot.needed, joined.needed) == (28, 28, 0)
    assert changes_of(session, lot.id)[0].words == f"lot {lot_name(joined)} joined: 8 more"
    assert changes_of(session, joined.id)[0].words == f"joined into lot {lot_name(lot)}"
    for each in lot.operations[1:]:
        sign_off(session, act(), [SignOff(each.id, 28)])
    assert whereabouts(lot) == {"in_stock": 28}
    assert list(differences(session)) == []


def test_joined_pieces_can_be_sent_back_past_operations_that_only_the_others_passed_here(session, two):
    lot, joined = two
    join_lots(session, because(), lot.id, joined.id)
    sign_off(session, act(), [SignOff(lot.operations[1].id, 28)])
    session.commit()
    posting = sign_off(session, act(), [SignOff(lot.operations[2].id, 28)])
    undo(session, act(), posting.id)
    assert whereabouts(lot) == {"30 waiting": 28}
    assert list(differences(session)) == []


def test_heats_are_kept_through_joins_and_splits(session, routing):
    heats = ("H-1", "H-2")
    lots = []
    for heat in heats:
        ReceiptFactory(revision=routing.revision, heat=heat, pieces=8)
        session.commit()
        lots.append(make_lot(session, pieces=8, routing=routing))
    lot, joined = lots
    join_lots(session, because(), lot.id, joined.id)
    child = split_lot(session, act(), lot.operations[0].id, 3)
    assert [
        (each.lot.id, [held.receipt.heat for held in each.blanks]) for each in heats_through(session, child.id)
    ] == [
        (lot.id, ["H-1"]),
        (joined.id, ["H-2"]),
    ]


def test_what_it_was_meant_for_goes_along(session, routing):
    line = OrderLineFactory(revision=routing.revision)
    both, only = (DeliveryFactory(line=line, quantity=30, due=date(2026, 2, day)) for day in (20, 9))
    lot = make_lot(session, pieces=10, routing=routing, shares=(Share(both.id, 10),))
    joined = make_lot(session, pieces=9, routing=routing, shares=(Share(both.id, 4), Share(only.id, 5)))
    join_lots(session, because(), lot.id, joined.id)
    session.commit()
    assert {share.delivery_id: share.quantity for share in lot.deliveries} == {both.id: 14, only.id: 5}
    assert joined.deliveries == []
    assert lot.due_on == only.leave_day


def test_only_lots_that_are_alike_are_offered(session, two):
    lot, joined = two
    make_lot(session)
    assert [each.id for each in lots_to_join(session, get_lot(session, lot.id))] == [joined.id]


@pytest.mark.parametrize(
    ("spoil", "match"),
    [
        (lambda session, lot: hold_lot(session, act(), lot.id, "customer asks"), "on hold: customer asks"),
        (lambda session, lot: hold_pieces(session, act(), lot.operations[1].id, 2, "crack?"), "do not all wait"),
        (lambda session, lot: sign_off(session, act(), [SignOff(lot.operations[1].id, 3)]), "do not all wait"),
        (lambda session, lot: sign_off(session, act(), [SignOff(lot.operations[1].id, 8)]), "same operation"),
        (lambda session, lot: skip_operation(session, because(), lot.id, lot.operations[2].id), "same operation"),
    ],
)
def test_lots_that_are_not_alike_stay_apart(session, two, spoil, match):
    lot, joined = two
    spoil(session, joined)
    session.commit()
    before = whereabouts(lot), whereabouts(joined)
    with pytest.raises(JoinError, match=match):
        join_lots(session, because(), lot.id, joined.id)
    session.rollback()
    assert (whereabouts(lot), whereabouts(joined)) == before


def test_other_parts_itself_and_no_reason_are_refused(session, two):
    lot, joined = two
    with pytest.raises(JoinError, match="another part or revision"):
        join_lots(session, because(), lot.id, make_lot(session).id)
    with pytest.raises(JoinError, match="cannot join itself"):
        join_lots(session, because(), lot.id, lot.id)
    with pytest.raises(ReasonMissingError):
        join_lots(session, because(""), lot.id, joined.id)


def test_lots_that_wait_for_their_blanks_stay_apart(session):
    routing = make_routing(blanks=True)
    lots = [make_lot(session, pieces=5, routing=routing) for _ in range(2)]
    with pytest.raises(JoinError, match="wait for their blanks"):
        join_lots(session, because(), lots[0].id, lots[1].id)


def test_the_forecast_plans_the_joined_pieces_in_one_run(session, two, clock):
    lot, joined = two
    join_lots(session, because(), lot.id, joined.id)
    session.commit()
    plan_now(session, clock.now)
    assert [run.pieces for run in runs_of(session, lot)] == [28, 28]
    assert runs_of(session, joined) == []
