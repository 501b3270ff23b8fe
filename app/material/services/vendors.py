"""Adding and changing vendors."""

from sqlalchemy import orm

from app.material.errors import VendorNameTakenError
from app.material.models import Vendor
from app.material.queries import get_vendor, vendor_named
from app.material.services.inputs import NewVendor
from app.shared.database import transaction


def add_vendor(session: orm.Session, new: NewVendor) -> Vendor:
    """Add a vendor.

    Raises:
        VendorNameTakenError: another one has this name.
    """
    with transaction(session):
        _refuse_taken_name(session, new.name, None)
        vendor = Vendor(name=new.name, contact=new.contact, active=new.active)
        session.add(vendor)
    return vendor


def change_vendor(session: orm.Session, vendor_id: int, new: NewVendor) -> Vendor:
    """Change a vendor.

    Raises:
        VendorNotFoundError: there is none with this id.
        VendorNameTakenError: another one has this name.
    """
    with transaction(session):
        vendor = get_vendor(session, vendor_id)
        _refuse_taken_name(session, new.name, vendor_id)
        vendor.name, vendor.contact, vendor.active = new.name, new.contact, new.active
    return vendor


def _refuse_taken_name(session: orm.Session, name: str, but_not: int | None) -> None:
    other = vendor_named(session, name)
    if other is not None and other.id != but_not:
        raise VendorNameTakenError(other.name)
