"""A revision's label and blank."""

from decimal import Decimal

from app.parts.services import NewRouting, save_routing
from tests.factories.parts import RevisionFactory
from tests.parts.shop import tumbling

TYPED = {
    "label": "A2",
    "material": "Steel",
    "blank": "Bar",
    "blank_source": "customer",
    "blank_form": "bar",
    "pieces_per_unit": "40",
    "blank_price": "12.5",
    "piece_grams": "1",
}


def test_a_revision_is_changed(as_owner, session, revision):
    response = as_owner.post(f"/parts/revisions/{revision.id}", data=TYPED)
    session.rollback()
    assert response.location == f"/parts/{revision.part_id}?revision={revision.id}"
    assert (revision.label, revision.material, revision.pieces_per_unit) == ("A2", "Steel", 40)
    assert (revision.blank_price, revision.piece_grams) == (Decimal("12.5"), 454)


def test_the_form_writes_back_what_it_reads(as_owner, session, revision):
    as_owner.post(f"/parts/revisions/{revision.id}", data=TYPED)
    page = as_owner.get(f"/parts/revisions/{revision.id}/edit").text
    assert 'name="piece_grams" type="text" value="1"' in page
    assert 'value="12.5"' in page
    assert '<option selected value="bar">' in page


def test_anothers_label_is_refused(as_owner, session, revision):
    RevisionFactory(part=revision.part, label="A2", current=False)
    response = as_owner.post(f"/parts/revisions/{revision.id}", data=TYPED)
    assert response.status_code == 422
    assert "already has a revision A2" in response.text


def test_a_piece_that_would_outgrow_its_batch_is_refused(as_owner, session, keys, revision, now):
    revision.piece_grams = 400
    session.commit()
    new = NewRouting((tumbling(keys, batch_grams=450),), base_version=0)
    save_routing(session, revision.id, new, by=None, now=now)
    response = as_owner.post(f"/parts/revisions/{revision.id}", data=TYPED)
    assert response.status_code == 422
    assert "A batch of operation 30 holds at most 1.0 lb. Change the routing first." in response.text
    session.rollback()
    assert revision.label == "A"


def test_what_is_not_there_and_who_may_not_are_told(as_owner, as_operator, revision):
    assert as_owner.get("/parts/revisions/99/edit").status_code == 404
    assert as_owner.post("/parts/revisions/99", data=TYPED).status_code == 404
    assert as_operator.get(f"/parts/revisions/{revision.id}/edit").status_code == 403
    assert as_operator.post(f"/parts/revisions/{revision.id}", data=TYPED).status_code == 403
    assert as_operator.post(f"/parts/revisions/{revision.id}/current").status_code == 403
