"""From any one thing forward and back through every link, on one page and in one file."""

import csv
import io
from datetime import date

from app.lots.queries import lot_name
from app.lots.services import ComponentSource, split_lot, undo, use_component
from app.trace.queries import Kind, days_between, find_subjects, get_subject, trace, walk, walking
from app.trace.queries import tracing as tracing_module
from tests.factories.lots import act, make_lot
from tests.factories.shipping import TODAY
from tests.statements import counted
from tests.trace.conftest import finish

FROM = {
    Kind.LOT: lambda chain: chain.child.id,
    Kind.HEAT: lambda chain: chain.receipt.id,
    Kind.RECEIPT: lambda chain: chain.receipt.id,
    Kind.SHIPMENT: lambda chain: chain.shipment.id,
    Kind.DAY: lambda _chain: 20260107,
    Kind.DELIVERY: lambda chain: chain.shipment.lines[0].delivery_id,
    Kind.GAUGE: lambda chain: chain.gauge.id,
    Kind.PERSON: lambda chain: chain.person_id,
    Kind.STATION: lambda chain: chain.pin.operations[0].work_center.stations[0].id,
}

TYPED = {
    Kind.HEAT: lambda _chain, _name: "x-77",
    Kind.DAY: lambda _chain, _name: "2026-01-07",
    Kind.DELIVERY: lambda chain, _name: chain.shipment.lines[0].delivery.line.order.their_number,
}


def asked(session, kind, chain, since=TODAY, until=TODAY):
    return get_subject(session, kind, FROM[kind](chain)), days_between(session, since, until)


def lists(session, kind, chain, **days):
    found = trace(session, *asked(session, kind, chain, **days))
    return {section.name: section.lines for section in found.sections}


def test_every_way_in_leads_through_every_link_and_to_no_stranger(session, chain):
    """One chain for all: each way in tells the lots, the measurements, the heat and the shipment."""
    made = {chain.pin.id, chain.child.id, chain.assembly.id, chain.returned.lot_id}
    for kind, key_of in FROM.items():
        assert walk(session, *asked(session, kind, chain)).all == made, kind
        found = lists(session, kind, chain)
        measured = [(line.result, line.gauge, line.requirement) for line in found["readings"]]
        assert measured == [(f"0.500{n} in", chain.gauge.name, "0.4995 to 0.5005 in") for n in (4, 3, 2, 1)], kind
        assert [(line.heat, line.lot) for line in found["receipts"]] == [("QX-7781", lot_name(chain.pin))], kind
        assert [(line.lot, line.pieces) for line in found["shipments"]] == [(lot_name(chain.assembly), 2)], kind
        typed = TYPED.get(kind, lambda _chain, name: name)(chain, get_subject(session, kind, key_of(chain)).name)
        assert key_of(chain) in {subject.key for subject in find_subjects(session, kind, typed)}, kind


def test_before_and_after_are_told_apart(session, chain):
    traced = walk(session, *asked(session, Kind.LOT, chain))
    assert (traced.own, traced.before) == ({chain.child.id}, {chain.pin.id})
    assert traced.after == {chain.assembly.id, chain.returned.lot_id}


def test_links_say_how_pieces_went_from_lot_to_lot(session, chain):
    links = [(line.lot, line.what, line.pieces, line.other_lot) for line in lists(session, Kind.LOT, chain)["links"]]
    pin, child, assembly = (lot_name(each) for each in (chain.pin, chain.child, chain.assembly))
    assert links == [
        (assembly, "came back from the customer", 1, lot_name(chain.returned.lot)),
        (child, "fitted as component", 2, assembly),
        (pin, "split off", 2, child),
    ]


def test_work_says_who_did_what_where(session, chain):
    work = lists(session, Kind.LOT, chain)["work"]
    assert {(line.lot, line.operation, line.pieces, line.result) for line in work} == {
        (lot_name(chain.pin), "10 Step 1", 4, "good"),
        (lot_name(chain.child), "20 Step 2", 2, "good"),
        (lot_name(chain.assembly), "10 Step 1", 2, "good"),
    }


def test_other_days_of_a_gauge_tell_nothing(session, chain):
    found = lists(session, Kind.GAUGE, chain, since=date(2026, 1, 8), until=date(2026, 1, 9))
    assert (found["lots"], found["readings"]) == ([], [])


def test_what_was_undone_is_no_link(session, chain):
    more = split_lot(session, act(), chain.pin.operations[1].id, 1)
    finish(session, more.operations[1], 1)
    other = make_lot(session, pieces=1, routing=chain.assembly.revision.routings[0])
    posting = use_component(session, act(), other.operations[0].id, ComponentSource(lot_id=more.id), 1)
    subject, days = get_subject(session, Kind.LOT, more.id), days_between(session, TODAY, TODAY)
    assert walk(session, subject, days).after == {other.id}
    undo(session, act(), posting.id)
    assert walk(session, subject, days).after == set()


def test_a_long_list_goes_on_behind_its_last_row(session, chain, monkeypatch):
    monkeypatch.setattr(tracing_module, "SHOWN", 3)
    subject, days = asked(session, Kind.LOT, chain)
    first = next(each for each in trace(session, subject, days).sections if each.name == "readings")
    [second] = trace(session, subject, days, "readings", first.after).sections
    assert [line.result for line in first.lines + second.lines] == [f"0.500{last} in" for last in (4, 3, 2, 1)]
    assert second.after is None


def test_too_many_lots_ask_for_fewer_days(as_operator, chain, monkeypatch):
    monkeypatch.setattr(walking, "MOST_LOTS", 2)
    answer = as_operator.get(f"/trace/person/{chain.person_id}")
    assert answer.status_code == 422
    assert "more than 2 lots. Choose fewer days." in answer.text


def test_the_statements_do_not_grow(session, engine, chain):
    subject, days = asked(session, Kind.HEAT, chain)
    chain.receipt.pieces += 12
    session.commit()
    counts = []
    for more in (0, 6):
        lots = [make_lot(session, pieces=2, routing=chain.pin.revision.routings[0]) for _ in range(more)]
        for lot in lots:
            split_lot(session, act(), lot.operations[0].id, 1)
        session.commit()
        session.expire_all()
        with counted(engine) as sent:
            trace(session, subject, days)
        counts.append(len(sent))
    assert counts[0] == counts[1] <= 9


def test_the_file_has_all_of_it(as_operator, chain):
    answer = as_operator.get(f"/trace/lot/{chain.child.id}/file")
    rows = list(csv.DictReader(io.StringIO(answer.data.decode("utf-8-sig"))))
    assert answer.headers["Content-Disposition"].startswith("attachment")
    assert [row["Result"] for row in rows if row["About"] == "What was measured"] == [
        "0.5004 in", "0.5003 in", "0.5002 in", "0.5001 in",
    ]  # fmt: skip
    assert {row["Heat"] for row in rows if row["Heat"]} == {"QX-7781"}
    assert {row["Shipment"] for row in rows if row["Shipment"]} == {str(chain.shipment.number)}


def test_the_page_links_to_each_thing(as_operator, chain):
    page = as_operator.get(f"/trace/heat/{chain.receipt.id}").text
    for link in (
        f"/lots/{chain.pin.id}",
        f"/receipts/{chain.receipt.id}",
        f"/shipments/{chain.shipment.id}",
        f"/gauges/{chain.gauge.id}",
    ):
        assert f'href="{link}"' in page


def test_one_that_fits_is_opened_at_once(as_operator, chain):
    answer = as_operator.get("/trace", query_string={"of": "heat", "which": "qx-"})
    assert (answer.status_code, answer.location) == (303, f"/trace/heat/{chain.receipt.id}")


WRONG = [
    ("/trace?of=lot&which=", 422, "Enter its code"),
    ("/trace?of=lot&which=L99999X", 422, "Nothing fits"),
    ("/trace?of=nonsense&which=1", 422, "Choose what to begin from"),
    ("/trace?of=lot&which=" + "9" * 300, 422, "Field cannot be longer"),
    ("/trace?of=shipment&which=99999999999", 422, "Nothing fits"),
    ("/trace/day/20261399", 404, "nothing on record to trace"),
    ("/trace/lot/999999", 404, "nothing on record to trace"),
    ("/trace/gauge/{gauge}?since=2026-01-09&until=2026-01-08", 422, "must not be before the first"),
    ("/trace/gauge/{gauge}?since=x&until=", 422, "year-month-day"),
    ("/trace/gauge/{gauge}/file?since=x", 422, "year-month-day"),
    ("/trace/lot/{lot}?only=nothing&after=x", 200, "Trace: Lot"),
]


def test_what_cannot_be_answered_says_why(as_operator, chain):
    for path, status, words in WRONG:
        answer = as_operator.get(path.format(gauge=chain.gauge.id, lot=chain.pin.id))
        assert (answer.status_code, words in answer.text) == (status, True), path
