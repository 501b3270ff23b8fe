"""Lots scanned for a batch begin together and end once for all, each with its own counts."""

import re

import pytest
import sqlalchemy as sa

from app.lots.models import Job, JobState, Posting, Verb
from app.lots.queries.names import lot_name, operation_code
from app.parts.models import Taking
from tests.factories.lots import make_lot, make_routing, station_of, whereabouts
from tests.floor.conftest import accept, refusal, words


@pytest.fixture
def tumbling(session, shop):
    """Return a routing of two operations that run in batches of up to 100 pieces."""
    return make_routing(operations=2, taking=Taking.BATCH, load_pieces=100, recipe="ceramic", setup_seconds=0)


@pytest.fixture
def lots(session, tumbling):
    return [make_lot(session, pieces=pieces, routing=tumbling) for pieces in (30, 40, 50)]


@pytest.fixture
def tumbler(tablet_at, lots, sam):
    tablet = tablet_at(station_of(lots[0].operations[0]))
    tablet.sign_on(sam)
    return tablet


def first(lot):
    return lot.operations[0]


def collect(tumbler, *lots):
    """Scan lots one after another and return the page's address."""
    collected = []
    for lot in lots:
        response = tumbler.post("/load/scans", code=lot_name(lot), operations=collected)
        assert response.status_code == 303
        collected.append(first(lot).id)
    return response.location


def begin(tumbler, *lots):
    return tumbler.post("/loads", operations=[first(lot).id for lot in lots])


def test_scanned_lots_are_collected_and_nothing_begins_yet(session, tumbler, lots):
    page = words(tumbler.client.get(collect(tumbler, *lots[:2])).text)
    assert "2 lots collected" in page
    assert "70 of 100 pieces" in page
    assert lot_name(lots[2]) in page
    assert session.scalars(sa.select(Job)).all() == []


def test_they_begin_together_and_are_shown_as_one(session, tumbler, lots):
    assert begin(tumbler, *lots[:2]).location == tumbler.home
    jobs = session.scalars(sa.select(Job)).all()
    assert [each.state for each in jobs] == [JobState.RUNNING] * 2
    assert len({each.batch_id for each in jobs}) == 1
    page = words(tumbler.get().text)
    assert "A batch of 2 lots" in page
    assert page.count("Running since") == 1
    assert "70 to do" in page


def test_they_end_once_for_all_with_their_own_counts(session, tumbler, lots):
    begin(tumbler, *lots[:2])
    one, two = first(lots[0]), first(lots[1])
    form = tumbler.client.get(tumbler.scan(operation_code(two)).location).text
    assert f'name="lot{one.id}-good"' in form
    assert f'name="lot{two.id}-good"' in form
    response = tumbler.post(
        tumbler.at(two, "/sign-offs"),
        operations=[one.id, two.id],
        **{
            f"lot{one.id}-good": 30,
            f"lot{one.id}-offered": 30,
            f"lot{one.id}-scrap": 2,
            f"lot{one.id}-scrap_reason": "Dropped or dented",
            f"lot{two.id}-good": 40,
            f"lot{two.id}-offered": 40,
        },
    )
    assert response.location == tumbler.home
    assert whereabouts(lots[0]) == {"10 scrapped": 2, "20 waiting": 28}
    assert whereabouts(lots[1]) == {"20 waiting": 40}
    verbs = session.scalars(sa.select(Posting.verb)).all()
    assert verbs.count(Verb.SIGN_OFF) == 1


def test_a_batch_pauses_and_runs_as_one(session, tumbler, lots):
    begin(tumbler, *lots[:2])
    tumbler.post(tumbler.at(first(lots[1]), "/pauses"))
    assert session.scalars(sa.select(Job.state)).all() == [JobState.PAUSED] * 2


def test_a_lot_with_no_piece_named_stays_in_the_batch(tumbler, lots):
    begin(tumbler, *lots[:2])
    one, two = first(lots[0]), first(lots[1])
    tumbler.post(
        tumbler.at(one, "/sign-offs"),
        operations=[one.id, two.id],
        **{f"lot{one.id}-good": 30, f"lot{two.id}-good": 0},
    )
    assert whereabouts(lots[0]) == {"20 waiting": 30}
    assert whereabouts(lots[1]) == {"10 in_work": 40}


def test_what_finds_no_room_in_a_batch_waits_for_the_next(tumbler, lots):
    page = words(tumbler.client.get(collect(tumbler, *lots)).text)
    assert "100 of 100 pieces" in page
    assert begin(tumbler, *lots).location == tumbler.home
    assert whereabouts(lots[2]) == {"10 waiting": 20, "10 in_work": 30}


def test_more_than_a_batch_holds_is_refused_and_what_was_typed_stays(session, tumbler, lots):
    typed = {f"lot{first(lot).id}-pieces": pieces for lot, pieces in zip(lots, (30, 31, 50), strict=True)}
    response = tumbler.post("/loads", operations=[first(lot).id for lot in lots], **typed)
    assert refusal(response) == "Together 111 pieces; a batch holds 100."
    assert "More than one load holds" in response.text
    assert 'value="31"' in response.text
    assert session.scalars(sa.select(Job)).all() == []


def test_pieces_that_are_no_number_are_said_beside_the_field(session, tumbler, lots):
    typed = {f"lot{first(lots[0]).id}-pieces": "", f"lot{first(lots[1]).id}-pieces": "12"}
    response = tumbler.post("/loads", operations=[first(lot).id for lot in lots[:2]], **typed)
    assert response.status_code == 422
    assert "Type how many pieces of this lot." in response.text
    assert 'value="12"' in response.text
    assert session.scalars(sa.select(Job)).all() == []


@pytest.fixture
def pallets(session, shop):
    """Return lots of two parts, 8 and 4 of which fill a pallet of the same station."""
    routings = [make_routing(operations=2, taking=Taking.LOAD, load_pieces=most, setup_seconds=0) for most in (8, 4)]
    routings[1].operations[0].work_center = routings[0].operations[0].work_center
    session.commit()
    return [make_lot(session, pieces=20, routing=each) for each in routings]


def test_two_parts_go_on_one_pallet_and_end_by_one_form(tablet_at, pallets, sam):
    mill = tablet_at(station_of(first(pallets[0])))
    mill.sign_on(sam)
    page = words(mill.client.get(collect(mill, *pallets)).text)
    assert "6 pieces, the load is 100 % full" in page
    one, two = (first(lot) for lot in pallets)
    sent = {f"lot{one.id}-pieces": 4, f"lot{two.id}-pieces": 1}
    assert mill.post("/loads", operations=[one.id, two.id], **sent).location == mill.home
    assert "One load of 2 lots" in words(mill.get().text)
    form = mill.get(mill.at(two, "/done")).text
    assert "Done: one load of 2 lots" in form
    counts = {f"lot{one.id}-good": 4, f"lot{two.id}-good": 1}
    mill.post(mill.at(one, "/sign-offs"), operations=[one.id, two.id], **counts)
    assert [whereabouts(lot) for lot in pallets] == [
        {"10 waiting": 16, "20 waiting": 4},
        {"10 waiting": 19, "20 waiting": 1},
    ]


def good_in(form: str) -> str:
    """Return the number of good pieces that a 'done' form has filled in."""
    return re.search(r'-good"[^>]*value="(\d+)"', form)[1]


def test_a_lot_larger_than_a_load_says_which_load_runs_and_fills_in_its_pieces(tablet_at, pallets, sam):
    mill = tablet_at(station_of(first(pallets[0])))
    mill.sign_on(sam)
    one = first(pallets[0])
    mill.scan(operation_code(one))
    assert "load 1 of 3, 8 pieces" in words(mill.get().text)
    form = mill.get(mill.at(one, "/done")).text
    assert good_in(form) == "8"
    assert "All 20 are done" in form
    assert good_in(mill.get(mill.at(one, "/done?all=1")).text) == "20"
    mill.done(one, good=8, offered=8)
    assert "load 2 of 3, 8 pieces" in words(mill.get().text)


def test_other_recipes_cannot_share_a_batch(session, shop, tumbler, lots):
    other = make_lot(session, routing=make_routing(taking=Taking.BATCH, load_pieces=100, recipe="plastic"))
    first(other).work_center_id = first(lots[0]).work_center_id
    session.commit()
    assert lot_name(other) not in tumbler.client.get(collect(tumbler, lots[0])).text
    assert "cannot share a batch" in refusal(begin(tumbler, lots[0], other))


def test_what_does_not_run_in_batches_is_not_collected(session, tumbler):
    lot = make_lot(session)
    response = tumbler.post("/load/scans", code=lot_name(lot))
    assert refusal(response) == f"Lot {lot_name(lot)} has no operation here that runs in pallet loads or batches."
    response = tumbler.post("/load/scans", code=operation_code(lot.operations[0]))
    assert refusal(response) == f"Lot {lot_name(lot)} has no operation here that runs in pallet loads or batches."


def test_the_same_lot_twice_is_said_and_collected_once(tumbler, lots):
    response = tumbler.post("/load/scans", code=lot_name(lots[0]), operations=[first(lots[0]).id])
    assert refusal(response) == f"Lot {lot_name(lots[0])} is in this load already."
    assert "1 lot collected" in words(response.text)


@pytest.mark.parametrize(
    ("code", "sentence"), [("", "No code was read"), ("R00001X", "R00001X"), ("nonsense", "nonsen")]
)
def test_another_code_is_refused_and_the_collected_lots_stay(tumbler, lots, code, sentence):
    response = tumbler.post("/load/scans", code=code, operations=[first(lots[0]).id])
    assert refusal(response).startswith(sentence)
    assert "1 lot collected" in words(response.text)


def test_a_badge_scanned_meanwhile_signs_on(tumbler, lots, sam):
    assert tumbler.post("/load/scans", code=sam.badge_code).location == tumbler.home


def test_a_batch_of_nothing_and_one_without_a_badge_are_refused(session, tumbler, lots):
    assert refusal(tumbler.post("/loads")) == "Scan the lots of the load first."
    tumbler.post("/sign-ons/1/end")
    response = begin(tumbler, *lots[:2])
    assert refusal(response).startswith("Scan your badge first")
    assert "2 lots collected" in words(response.text)
    assert session.scalars(sa.select(Job)).all() == []


def test_a_batch_at_a_full_station_can_pause_the_other_in_one_step(session, tumbler, lots):
    begin(tumbler, lots[2])
    response = begin(tumbler, *lots[:2])
    assert accept(tumbler, response, f"Pause {lot_name(lots[2])}").location == tumbler.home
    states = session.scalars(sa.select(Job.state).order_by(Job.id)).all()
    assert states == [JobState.PAUSED, JobState.RUNNING, JobState.RUNNING]


def test_the_same_batch_sent_twice_begins_once(session, tumbler, lots):
    for _ in range(2):
        response = tumbler.post("/loads", operations=[first(lot).id for lot in lots[:2]], key="one-load-once")
        assert response.location == tumbler.home
    assert session.scalars(sa.select(sa.func.count(Job.id))).one() == 2
