"""Vendors: adding, changing, finding."""

import html

import pytest
import sqlalchemy as sa

from app.material.models import Vendor
from tests.factories.material import VendorFactory
from tests.statements import counted

FILLED = {"name": "Copperfield Metals", "contact": "Ask for Ines\r\n555-0100", "active": "y"}


def names(session):
    session.rollback()
    return session.scalars(sa.select(Vendor.name).order_by(Vendor.name)).all()


def test_a_vendor_is_added(as_owner, session):
    answer = as_owner.post("/vendors", data=FILLED)
    session.rollback()
    (vendor,) = session.scalars(sa.select(Vendor)).all()
    assert answer.location == f"/vendors/{vendor.id}"
    assert (vendor.name, vendor.contact, vendor.active) == ("Copperfield Metals", "Ask for Ines\n555-0100", True)
    page = as_owner.get(answer.location).text
    assert "Ask for Ines<br>555-0100" in page
    assert "a guess: too few late receipts yet" in page


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"name": ""}, "Enter the vendor's name."),
        ({"name": "x" * 81}, "Use 80 characters or fewer."),
        ({"name": "nord CASTINGS"}, "There is already a vendor called Nord Castings. Choose another name."),
        ({"contact": "x" * 1001}, "Use 1,000 characters or fewer."),
    ],
)
def test_a_wrong_vendor_is_refused_beside_the_field(as_owner, session, sent, told):
    VendorFactory(name="Nord Castings")
    answer = as_owner.post("/vendors", data=FILLED | sent)
    assert answer.status_code == 422
    assert told in html.unescape(answer.text)
    assert names(session) == ["Nord Castings"]


def test_a_vendor_is_changed_but_does_not_take_anothers_name(as_owner, session):
    VendorFactory(name="Nord Castings")
    vendor = VendorFactory(name="Copperfield Metals")
    refused = as_owner.post(f"/vendors/{vendor.id}", data=FILLED | {"name": "Nord Castings"})
    assert refused.status_code == 422
    assert as_owner.post(f"/vendors/{vendor.id}", data={"name": "Copperfield", "contact": ""}).status_code == 303
    assert names(session) == ["Copperfield", "Nord Castings"]
    assert "Former vendor" in as_owner.get("/vendors").text


def test_vendors_are_found_by_name_and_contact(as_operator):
    VendorFactory(name="Nord Castings", contact="Ines")
    VendorFactory(name="Copperfield Metals")
    found = as_operator.get("/vendors?q=ines").text
    assert "Nord Castings" in found
    assert "Copperfield" not in found
    assert "No vendor fits “zzz”." in as_operator.get("/vendors?q=zzz").text


def test_the_statements_of_the_list_do_not_grow_with_it(as_owner, engine, session):
    def statements():
        with counted(engine) as sent:
            assert as_owner.get("/vendors").status_code == 200
        return len(sent)

    VendorFactory()
    few = statements()
    for _ in range(9):
        VendorFactory()
    assert statements() == few


def test_only_an_owner_changes_vendors(as_setup_lead, session):
    vendor = VendorFactory(name="Nord Castings")
    assert as_setup_lead.get("/vendors").status_code == 200
    assert as_setup_lead.get(f"/vendors/{vendor.id}").status_code == 200
    assert as_setup_lead.get(f"/vendors/{vendor.id}/edit").status_code == 403
    for path in ("/vendors", f"/vendors/{vendor.id}"):
        assert as_setup_lead.post(path, data=FILLED).status_code == 403
    assert names(session) == ["Nord Castings"]


def test_an_empty_list_says_what_to_do_first(as_owner, as_operator):
    assert "Add those you buy blanks, bought components or outside work from." in as_owner.get("/vendors").text
    assert "An owner adds the first one." in as_operator.get("/vendors").text
    assert as_owner.get("/vendors/999").status_code == 404
