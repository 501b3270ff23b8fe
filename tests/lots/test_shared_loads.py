"""Loads that several lots share: what fits, what is refused, each lot's own counts, and the forecast."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy.orm.attributes import set_committed_value

from app.lots.errors import LoadError, TooManyPiecesError
from app.lots.models import Job, Lot, LotOperation
from app.lots.queries.loads import full_share, load_count, proposed_shares
from app.lots.queries.verify import differences
from app.lots.services import SignOff, begin, pause, run, sign_off
from app.parts.models import Revision, Taking
from tests.factories.lots import act, make_lot, make_routing, station_of, whereabouts
from tests.factories.schedule import forecast_of, plan_now, runs_of
from tests.factories.stations import ShopFactory


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


@pytest.fixture
def pallets(session) -> list[Lot]:
    """Return lots of two parts, 8 and 4 of which fill a pallet of the same station."""
    one = make_routing(operations=2, taking=Taking.LOAD, load_pieces=8, setup_seconds=0)
    other = make_routing(operations=2, taking=Taking.LOAD, load_pieces=4, setup_seconds=0)
    other.operations[0].work_center = one.operations[0].work_center
    session.commit()
    return [make_lot(session, pieces=20, routing=one), make_lot(session, pieces=6, routing=other)]


def at_station(lots, **more):
    return act(station_id=station_of(lots[0].operations[0]).id, **more)


def firsts(lots) -> list[int]:
    return [lot.operations[0].id for lot in lots]


def test_two_parts_share_a_pallet_evenly_and_end_together_with_their_own_counts(session, pallets):
    begin(session, at_station(pallets), firsts(pallets))
    assert [whereabouts(lot) for lot in pallets] == [
        {"10 waiting": 16, "10 in_work": 4},
        {"10 waiting": 4, "10 in_work": 2},
    ]
    results = [SignOff(lot.operations[0].id, pieces) for lot, pieces in zip(pallets, (4, 2), strict=True)]
    sign_off(session, at_station(pallets), results, only_open=True)
    assert [whereabouts(lot) for lot in pallets] == [
        {"10 waiting": 16, "20 waiting": 4},
        {"10 waiting": 4, "20 waiting": 2},
    ]
    assert list(differences(session)) == []


def test_it_is_one_job_that_pauses_and_runs_as_one(session, pallets):
    begin(session, at_station(pallets), firsts(pallets), pieces=(6, 1))
    assert len({job.batch_id for job in session.query(Job)}) == 1
    pause(session, at_station(pallets), firsts(pallets)[0])
    run(session, at_station(pallets), firsts(pallets)[1])
    assert {job.state.value for job in session.query(Job)} == {"running"}
    assert list(differences(session)) == []


@pytest.mark.parametrize(
    ("pieces", "error", "match"),
    [
        ((6, 2), LoadError, "Together 8 pieces: more than the places of one load"),
        ((8, 0), LoadError, "No piece of lot .* has room"),
        ((1, 7), TooManyPiecesError, "6"),
        ((1,), LoadError, "Say for each lot"),
    ],
)
def test_what_a_pallet_does_not_hold_is_refused_and_nothing_begins(session, pallets, pieces, error, match):
    session.commit()
    with pytest.raises(error, match=match):
        begin(session, at_station(pallets), firsts(pallets), pieces=pieces)
    session.rollback()
    assert session.query(Job).count() == 0


def test_pallets_and_batches_and_single_pieces_do_not_mix(session, pallets):
    batch = make_lot(session, routing=make_routing(taking=Taking.BATCH, load_pieces=50))
    single = make_lot(session)
    for other in (batch, single):
        other.operations[0].work_center_id = pallets[0].operations[0].work_center_id
        session.commit()
        with pytest.raises(LoadError, match="Only pallet loads, or only batches"):
            begin(session, at_station(pallets), firsts([pallets[0], other]))
        session.rollback()


def test_the_same_lot_twice_is_refused(session, pallets):
    with pytest.raises(LoadError, match="scanned twice"):
        begin(session, at_station(pallets), firsts([pallets[0], pallets[0]]))


def test_a_batch_takes_what_its_bound_allows_and_the_rest_waits(session):
    routing = make_routing(taking=Taking.BATCH, load_pieces=100, batch_grams=45_000, setup_seconds=0)
    lots = [make_lot(session, pieces=60, routing=routing) for _ in range(2)]  # of 500 g a piece
    begin(session, at_station(lots), firsts(lots))
    assert [whereabouts(lot) for lot in lots] == [{"10 in_work": 60}, {"10 waiting": 30, "10 in_work": 30}]


def test_a_batch_with_no_room_for_a_lot_says_so(session):
    routing = make_routing(taking=Taking.BATCH, load_pieces=60, setup_seconds=0)
    lots = [make_lot(session, pieces=60, routing=routing) for _ in range(2)]
    with pytest.raises(LoadError, match="has room in this load"):
        begin(session, at_station(lots), firsts(lots))


def test_a_lot_larger_than_a_load_runs_as_several(session, pallets):
    lot = pallets[0]
    first = lot.operations[0]
    begin(session, at_station(pallets), [first.id])
    seen = []
    while first.in_work:
        found = load_count(first)
        seen.append((found.number, found.of, found.pieces))
        sign_off(session, at_station(pallets), [SignOff(first.id, found.pieces)])
    assert seen == [(1, 3, 8), (2, 3, 8), (3, 3, 4)]


def test_a_load_begins_anew_after_pieces_that_left_before_it_was_full(session, pallets):
    first = pallets[0].operations[0]
    begin(session, at_station(pallets), [first.id])
    sign_off(session, at_station(pallets), [SignOff(first.id, 5)])
    found = load_count(first)
    assert (found.number, found.of, found.pieces) == (2, 3, 8)


def test_one_that_fits_a_load_is_not_counted(session, pallets):
    begin(session, at_station(pallets), [firsts(pallets)[1]])
    assert load_count(make_lot(session, pieces=4).operations[0]) is None


def test_the_forecast_lets_an_open_shared_load_end_at_once_for_all_its_lots(session, pallets, clock):
    session.commit()
    begin(session, at_station(pallets, happened_at=clock.now), firsts(pallets))
    session.commit()
    plan_now(session, clock.now)
    under_way = [each for lot in pallets for each in runs_of(session, lot) if each.under_way]
    assert [each.pieces for each in under_way] == [4, 2]
    assert len({(each.start_at, each.end_at, each.load) for each in under_way}) == 1
    assert all(forecast_of(session, lot).finish_at for lot in pallets)


def operation(taking: Taking, waiting: int, load: int, grams: int, bound: int) -> LotOperation:
    lot = Lot(number=1)
    set_committed_value(lot, "revision", Revision(piece_grams=grams))
    return LotOperation(lot=lot, waiting=waiting, load_pieces=load, batch_grams=bound, taking=taking)


@given(
    taking=st.sampled_from([Taking.LOAD, Taking.BATCH]),
    lots=st.lists(
        st.tuples(st.integers(1, 60), st.integers(1, 40), st.integers(0, 900), st.sampled_from([0, 5_000, 20_000])),
        min_size=1,
        max_size=4,
    ),
)
def test_what_is_proposed_is_there_and_fits(taking, lots):
    operations = [operation(taking, *facts) for facts in lots]
    taken = proposed_shares(operations)
    assert all(0 <= count <= each.waiting for count, each in zip(taken, operations, strict=True))
    assert full_share(operations, taken) <= 1
