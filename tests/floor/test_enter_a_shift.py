"""Enter from paper: a whole shift of a station, how a sheet is found, who may, and what follows from it."""

import pytest
import sqlalchemy as sa

from app.core.scan_code import CodeKind, format_code
from app.lots.models import Posting, Verb
from app.lots.queries import lot_name, operation_code
from app.lots.queries.verify import differences
from app.lots.services import check_entries, checks
from app.people.models import Person
from tests.factories.lots import make_lot, make_routing, station_of, whereabouts
from tests.factories.people import PersonFactory
from tests.factories.schedule import forecast_of, plan_now
from tests.factories.stations import ShopFactory, StationFactory
from tests.floor.paper_sheets import RELEASED, beside, kept, of_lot, row, sheet


@pytest.fixture(autouse=True)
def shop(session):
    return ShopFactory()


@pytest.fixture
def ina(session):
    return PersonFactory(name="Ina Brook", initials="IB")


@pytest.fixture
def lot(session, ina):
    return make_lot(session, pieces=50, when=RELEASED)


def test_a_shift_of_one_station_names_the_lots(as_owner, session, ina):
    routing = make_routing(operations=1)
    one, two = (make_lot(session, pieces=10, routing=routing, when=RELEASED) for _lot in range(2))
    station = station_of(one.operations[0])
    rows = (
        {"code": lot_name(one), "begun": "07:00", "done": "08:00", "good": 10},
        {"code": operation_code(two.operations[0]), "begun": "08:00", "done": "09:00", "good": 9, "scrap": 1,
         "reason": "dropped"},
    )  # fmt: skip
    address = f"/floor/paper/stations/{station.id}"
    assert as_owner.post(address, data=sheet(*rows)).status_code == 303
    session.rollback()
    assert whereabouts(one) == {"in_stock": 10}
    assert whereabouts(two) == {"in_stock": 9, "10 scrapped": 1}
    assert set(session.scalars(sa.select(Posting.station_id).where(Posting.verb == Verb.SIGN_OFF))) == {station.id}
    # sent again, the lot's code would mean nothing any more: the key answers first
    assert as_owner.post(address, data=sheet(*rows)).status_code == 303
    assert list(differences(session)) == []


@pytest.mark.parametrize(
    ("code", "message"),
    [
        ("", "No code was read"),
        ("tomorrow", "is not one of our codes"),
        ("L99998", "is not one of our codes"),
        (format_code(CodeKind.STATION, 2), "names no lot and no operation"),
    ],
)
def test_a_code_that_names_no_work_is_refused_beside_it(as_owner, session, ina, code, message):
    address = f"/floor/paper/stations/{StationFactory().id}"
    answer = as_owner.post(address, data=sheet({"code": code, "done": "08:00", "good": 10}))
    assert answer.status_code == 422
    assert message in beside(answer.text, "rows-0-code")


def test_a_lot_that_has_nothing_for_the_station_is_refused(as_owner, session, lot):
    address = f"/floor/paper/stations/{StationFactory().id}"
    answer = as_owner.post(address, data=sheet({"code": lot_name(lot), "done": "08:00", "good": 10}))
    assert "no operation with pieces for" in beside(answer.text, "rows-0-code")


def test_a_sheet_is_found_by_its_code(as_setup_lead, lot):
    for code in (lot_name(lot), operation_code(lot.operations[1])):
        answer = as_setup_lead.get(f"/floor/paper?code={code}")
        assert answer.location == f"/floor/paper/lots/{lot.id}"
    refused = as_setup_lead.get("/floor/paper?code=S002X")
    assert refused.status_code == 422
    assert 'value="S002X"' in refused.text


def test_only_the_office_enters_from_paper(as_operator, as_setup_lead, lot):
    for path in ("/floor/paper", f"/floor/paper/lots/{lot.id}"):
        assert as_operator.get(path).status_code == 403
        assert as_setup_lead.get(path).status_code == 200
    for path in ("/floor", f"/c/{operation_code(lot.operations[0])}", f"/lots/{lot.id}"):
        assert "Enter from paper" in as_setup_lead.get(path).text
        assert "Enter from paper" not in as_operator.get(path).text


def test_people_who_left_are_unknown(as_owner, session, lot, ina):
    session.get_one(Person, ina.id).active = False
    session.commit()
    answer = of_lot(as_owner, lot, row(lot.operations[0], done="09:00", good=30))
    assert "initials ib" in beside(answer.text, "rows-0-initials")


def test_the_forecast_goes_on_from_where_the_paper_says_the_pieces_are(as_owner, session, lot, now):
    plan_now(session, now)
    before = forecast_of(session, lot).finish_at
    first, second, _third = lot.operations
    of_lot(as_owner, lot, row(first, done="09:30", good=50), row(second, done="11:00", good=50))
    plan_now(session, now)
    assert forecast_of(session, lot).finish_at < before


def test_more_rows_keep_what_was_typed(as_owner, lot):
    typed = sheet(row(lot.operations[1], done="09:00", good=7, reason="loose"))
    page = as_owner.post(f"/floor/paper/lots/{lot.id}", data={**typed, "more": "1"})
    assert page.status_code == 200
    assert page.text.count("data-row>") == 4
    assert 'value="loose"' in page.text
    part = as_owner.post(
        f"/floor/paper/lots/{lot.id}", data={**typed, "more": "1"}, headers={"HX-Request-Type": "partial"}
    )
    assert "<html" not in part.text


def test_what_a_later_area_refuses_stands_beside_the_row(as_owner, session, lot, app, monkeypatch):
    monkeypatch.setattr(checks, "_checks", [])
    check_entries(lambda _session, entry: ["The reading of the bore is missing."] if entry.quantity == 30 else [])
    first, second, _third = lot.operations
    answer = of_lot(as_owner, lot, row(first, done="09:00", good=50), row(second, done="10:00", good=30))
    assert "reading of the bore" in beside(answer.text, "rows-1-good")
    assert kept(session, lot) == []
