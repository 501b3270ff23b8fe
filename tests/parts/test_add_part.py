"""A part is added with its first revision in one form."""

from decimal import Decimal

import pytest
import sqlalchemy as sa

from app.parts.models import BlankForm, BlankSource, Part
from app.shared.units import UnitSystem
from tests.factories.parts import PartFactory

TYPED = {
    "number": " HB-7  ",
    "name": "Hinge block",
    "active": "y",
    "label": "A",
    "material": "6061-T6",
    "blank": "Sawn plate",
    "blank_source": "vendor",
    "blank_form": "plate",
    "pieces_per_unit": "12",
    "blank_lead_days": "10",
    "blank_price": "64.1250",
    "blank_grams": "2",
    "piece_grams": "350 g",
}


def stored_part(session) -> Part:
    session.rollback()
    return session.scalars(sa.select(Part)).one()


def test_a_part_is_stored_with_its_first_revision_as_the_current_one(as_setup_lead, session):
    response = as_setup_lead.post("/parts", data=TYPED)
    part = stored_part(session)
    assert response.status_code == 303
    assert response.location == f"/parts/{part.id}"
    assert (part.number, part.name, part.active) == ("HB-7", "Hinge block", True)
    revision = part.current_revision
    assert (revision.label, revision.material, revision.blank) == ("A", "6061-T6", "Sawn plate")
    assert (revision.blank_source, revision.blank_form) == (BlankSource.VENDOR, BlankForm.PLATE)
    assert (revision.pieces_per_unit, revision.blank_lead_days, revision.blank_price) == (12, 10, Decimal("64.125"))
    assert (revision.blank_grams, revision.piece_grams) == (907, 350)


def test_weights_are_read_in_kilograms_in_a_metric_shop(as_owner, session, shop):
    shop.units = UnitSystem.METRIC
    session.commit()
    as_owner.post("/parts", data=TYPED)
    assert stored_part(session).current_revision.blank_grams == 2000


def test_what_the_blank_leaves_open_is_empty(as_owner, session):
    bare = {"number": "B", "name": "Bolt", "label": "-", "pieces_per_unit": "1"}
    as_owner.post("/parts", data={**bare, "blank_source": "customer", "blank_form": "piece"})
    part = stored_part(session)
    assert not part.active
    assert part.current_revision.blank_price == 0
    assert part.current_revision.piece_grams == 0


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"number": ""}, "Enter the number on the drawing."),
        ({"number": "x" * 61}, "Use 60 characters or fewer."),
        ({"name": ""}, "Enter what the shop calls it"),
        ({"label": ""}, "Enter the revision on the drawing, such as A."),
        ({"label": "x" * 13}, "Use 12 characters or fewer."),
        ({"blank_form": "sheet"}, "Invalid Choice"),
        ({"pieces_per_unit": ""}, "Enter how many pieces are cut from one."),
        ({"pieces_per_unit": "0"}, "It must be 1 or more."),
        ({"blank_form": "piece"}, "A blank bought by the piece makes 1 piece."),
        ({"blank_lead_days": "ten"}, "Type a whole number, such as 12; “ten” is not one."),
        ({"blank_price": "6,40"}, "can be read two ways"),
        ({"blank_price": "6.12345"}, "Type at most 4 digits after the point."),
        ({"piece_grams": "heavy"}, "“heavy” is not one."),
        ({"piece_grams": "0.0001 g"}, "less than half a gram"),
    ],
)
def test_what_is_wrong_is_said_beside_its_field_and_nothing_is_lost_or_stored(as_owner, session, wrong, says):
    response = as_owner.post("/parts", data={**TYPED, **wrong})
    assert response.status_code == 422
    assert says in response.text
    assert 'value="Sawn plate"' in response.text
    assert session.scalars(sa.select(Part)).all() == []


def test_a_number_that_differs_only_in_capitals_is_taken(as_owner, session):
    PartFactory(number="hb-7")
    response = as_owner.post("/parts", data=TYPED)
    assert response.status_code == 422
    assert "There is already a part hb-7. Open it to add a revision." in response.text
    assert session.scalar(sa.select(sa.func.count()).select_from(Part)) == 1


def test_the_form_begins_with_revision_a_and_says_the_unit(as_owner):
    page = as_owner.get("/parts/new").text
    assert 'value="A"' in page
    assert "In lb" in page


@pytest.mark.parametrize("role", ["as_operator", "as_inspector"])
def test_only_the_office_adds_parts(request, session, role):
    client = request.getfixturevalue(role)
    assert client.get("/parts/new").status_code == 403
    assert client.post("/parts", data=TYPED).status_code == 403
    assert session.scalars(sa.select(Part)).all() == []
