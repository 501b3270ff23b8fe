"""The certificate of a shipment and the first article report say what is on record, and mark or refuse the rest."""

import csv
import html
import io
import re
from decimal import Decimal

import sqlalchemy as sa

from app.core.quality.tolerances import Standing
from app.lots.models import LotCharacteristic
from app.lots.queries import lot_name
from app.quality.models import Disposition, Nonconformance, Outcome, Reading, Waiver
from app.trace.queries import certificate, first_article
from tests.factories.lots import MORNING
from tests.statements import counted


def text_of(page: str) -> str:
    return html.unescape(" ".join(re.sub(r"<[^>]+>", " ", page).split()))


def found_out(session, chain, *, closed: bool, outcome: Outcome | None = None, last=False) -> Nonconformance:
    """Put a nonconformance about the pins on record, decided or not."""
    reading = session.scalars(sa.select(Reading).order_by(Reading.piece.desc() if last else Reading.piece)).first()
    found = Nonconformance(
        number=7, reading_id=reading.id, found_at_id=chain.pin.operations[0].id, lot_id=chain.pin.id, first_piece=1,
        last_piece=1, pieces=1, decided=int(closed), opened_at=MORNING, closed_at=MORNING if closed else None,
    )  # fmt: skip
    session.add(found)
    session.flush()
    if outcome:
        session.add(
            Disposition(
                nonconformance_id=found.id, outcome=outcome, pieces=1, agreed_by="Ada Kell", recorded_at=MORNING,
                client_key="disposed", content_hash="",
            )
        )  # fmt: skip
    session.commit()
    return found


def test_the_certificate_names_what_left_and_of_which_heat(as_operator, session, chain):
    shown = text_of(as_operator.get(f"/shipments/{chain.shipment.id}/certificate").text)
    line = chain.shipment.lines[0]
    for wanted in (line.delivery.line.order.their_number, lot_name(chain.assembly), chain.shipment.customer.name):
        assert wanted in shown
    assert "Signed for the shop" in shown


def test_a_lot_without_a_plan_or_a_heat_is_marked_and_the_others_are_not(session, chain):
    said = certificate(session, chain.shipment.id).reservations
    assert [(each.lot, each.words) for each in said] == [
        (lot_name(chain.assembly), "it has no control plan, and nothing measured is on record"),
        (lot_name(chain.assembly), "no heat is on record"),
    ]


def test_what_was_accepted_as_it_is_is_marked_with_who_agreed(as_operator, session, chain):
    found_out(session, chain, closed=True, outcome=Outcome.USE_AS_IS)
    shown = text_of(as_operator.get(f"/shipments/{chain.shipment.id}/certificate").text)
    assert "Except for what is listed below" in shown
    said = "1 piece accepted as it is (N7, characteristic 1 Bore), agreed by Ada Kell"
    assert f"{lot_name(chain.pin)} : {said}" in shown


def test_missing_readings_and_what_was_let_go_are_marked(session, chain):
    session.execute(sa.update(Reading).values(struck_at=MORNING, struck_reason="wrong part"))
    session.add(
        Waiver(
            operation_id=chain.pin.operations[0].id, pieces=4, reason="Gauge is away.", missing="Piece 2 of 1 Bore.",
            happened_at=MORNING, recorded_at=MORNING, client_key="waived", content_hash="",
        )
    )  # fmt: skip
    session.commit()
    words = [each.words for each in certificate(session, chain.shipment.id).reservations]
    assert "op 10 went on: Piece 2 of 1 Bore. Gauge is away." in words
    assert "no reading of characteristic 1 Bore is on record" in words


def test_none_is_made_while_something_is_undecided_or_of_goods_taken_back(as_operator, session, chain):
    found_out(session, chain, closed=False)
    answer = as_operator.get(f"/shipments/{chain.shipment.id}/certificate")
    assert (answer.status_code, "Nothing is decided yet about all pieces of N7." in text_of(answer.text)) == (409, True)
    chain.shipment.taken_back_at, chain.shipment.taken_back_reason = MORNING, "wrong box"
    session.commit()
    answer = as_operator.get(f"/shipments/{chain.shipment.id}/certificate")
    assert (answer.status_code, "was taken back" in answer.text) == (409, True)


def test_a_lot_that_left_before_the_last_good_reading_is_certified_though_its_parent_waits(session, chain):
    found_out(session, chain, closed=False, last=True)  # split off at the turn of the day, good readings came after it
    assert certificate(session, chain.shipment.id).shipment.id == chain.shipment.id


def test_the_first_article_accounts_for_each_characteristic(as_operator, session, chain):
    page = text_of(as_operator.get(f"/lots/{chain.pin.id}/first-article").text)
    for wanted in (f"FA-{lot_name(chain.pin)}", "Complete", "heat QX-7781", "0.4995 to 0.5005 in", "0.5001 in"):
        assert wanted in page
    answer = as_operator.get(f"/lots/{chain.pin.id}/first-article/file")
    [row] = csv.DictReader(io.StringIO(answer.data.decode("utf-8-sig")))
    told = (row["Result"], row["Requirement"], row["Gauge or tooling"], row["Piece"], row["Heat"], row["Report is"])
    assert told == ("0.5001 in", "0.4995 to 0.5005 in", chain.gauge.name, "1", "QX-7781", "complete")


def test_a_lot_split_off_is_accounted_for_by_what_was_measured_before(session, chain):
    assert [row.result for row in first_article(session, chain.child.id).rows] == ["0.5001 in"]


def test_a_first_article_is_partial_where_a_result_is_missing_or_out(session, chain):
    session.execute(sa.update(Reading).where(Reading.piece == 1).values(standing=Standing.ABOVE))
    found_out(session, chain, closed=True)
    report = first_article(session, chain.pin.id)
    assert (report.lacking, report.rows[0].nonconformance) == (["out of tolerance: characteristic 1"], 7)
    session.execute(sa.update(Reading).values(struck_at=MORNING, struck_reason="wrong part"))
    assert first_article(session, chain.pin.id).lacking == ["no result of characteristic 1"]
    assert "the revision has no control plan" in first_article(session, chain.assembly.id).lacking


def test_what_changed_since_the_first_article_before_is_told_from_what_lots_froze(session, chain):
    assert first_article(session, chain.pin.id).before is None
    report = first_article(session, chain.stranger.id)
    assert (report.before.id, report.changes) == (chain.pin.id, [])
    second, [bore] = chain.stranger.operations[1], chain.stranger.operations[0].characteristics
    second.work_center_id, second.title = None, "Turn again"
    session.add(
        LotCharacteristic(
            operation_id=second.id, number=2, name="Chamfer", kind="attribute", checking_kind="every piece",
            recording_kind="every piece", characteristic_id=bore.characteristic_id,
        )
    )  # fmt: skip
    bore.upper = Decimal("0.5010")
    session.commit()
    told = first_article(session, chain.stranger.id).changes
    assert [each.split(":")[0] for each in told] == [
        "op 20",
        "characteristic 1 Bore",
        "characteristic 2 Chamfer is new",
    ]
    assert "0.4995 to 0.5010 in" in told[1]
    assert "was 0.4995 to 0.5005 in" in told[1]


def test_a_revision_leads_to_the_reports_of_its_lots(as_operator, chain):
    page = text_of(as_operator.get(f"/revisions/{chain.pin.revision_id}/first-articles").text)
    assert f"FA-{lot_name(chain.pin)} The first lot {lot_name(chain.pin)}" in page.replace("✓ ", "")
    assert "1 of 1" in page
    assert "0 of 1" in page


def test_papers_need_a_fixed_number_of_statements(session, engine, chain):
    session.expire_all()
    with counted(engine) as sent:
        certificate(session, chain.shipment.id)
    assert len(sent) <= 12
    session.expire_all()
    with counted(engine) as sent:
        first_article(session, chain.pin.id)
    assert len(sent) <= 18
