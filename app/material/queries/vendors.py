"""Reads of vendors, and how late they usually are."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.material.errors import VendorNotFoundError
from app.material.models import MaterialOrder, MaterialOrderLine, Receipt, Vendor
from app.shared.paging import Page, contains, paged

DELAY_WHEN_UNKNOWN: Final = 5
"""Days a vendor counts as late, once late, while fewer than LEAST_LATE of its receipts were; a guess of ours."""
LEAST_LATE: Final = 3
MOST_LATE: Final = 20


@dataclass(frozen=True, slots=True)
class UsualDelay:
    """How many calendar days past the expected date a vendor's late goods usually come, from how many receipts."""

    days: int
    receipts: int

    @property
    def known(self) -> bool:
        """Say whether it is reckoned from this vendor's history, not the guess for an unknown one."""
        return self.receipts >= LEAST_LATE


def get_vendor(session: orm.Session, vendor_id: int) -> Vendor:
    """Return one vendor.

    Raises:
        VendorNotFoundError: there is none with this id.
    """
    vendor = session.get(Vendor, vendor_id)
    if vendor is None:
        raise VendorNotFoundError
    return vendor


def vendors_page(session: orm.Session, text: str = "", number: int = 1) -> Page[Vendor]:
    """Return a page of vendors by name, active ones first; ``text`` looks in names and contacts."""
    chosen = sa.select(Vendor).order_by(Vendor.active.desc(), sa.func.lower(Vendor.name), Vendor.id)
    if text:
        chosen = chosen.where(sa.or_(contains(Vendor.name, text), contains(Vendor.contact, text)))
    return paged(session, chosen, number)


def active_vendors(session: orm.Session) -> Sequence[Vendor]:
    """Return the active vendors by name."""
    return session.scalars(sa.select(Vendor).where(Vendor.active).order_by(sa.func.lower(Vendor.name), Vendor.id)).all()


def vendor_named(session: orm.Session, name: str) -> Vendor | None:
    """Return the vendor called ``name``, small and capital letters alike."""
    wanted = name.casefold()
    return next((each for each in session.scalars(sa.select(Vendor)) if each.name.casefold() == wanted), None)


def usual_delay_days(session: orm.Session, vendor_id: int) -> int:
    """Return how many calendar days past its expected date a late purchase from this vendor usually comes.

    The median of its last 20 receipts that came after the day they were expected on, rounded up; receipts in time do
    not count, because the number is asked for once a date has passed. With fewer than 3 late receipts it is 5 days.
    """
    return usual_delays(session, [vendor_id])[vendor_id].days


def usual_delays(session: orm.Session, vendor_ids: Iterable[int]) -> dict[int, UsualDelay]:
    """Return ``usual_delay_days`` of several vendors with what it is reckoned from, in one statement."""
    asked = list(vendor_ids)
    newest_first = sa.func.row_number().over(
        partition_by=MaterialOrder.vendor_id, order_by=(Receipt.received_on.desc(), Receipt.id.desc())
    )
    late = (
        sa.select(MaterialOrder.vendor_id, Receipt.received_on, Receipt.expected_on, newest_first.label("place"))
        .join(MaterialOrderLine, Receipt.line_id == MaterialOrderLine.id)
        .join(MaterialOrder, MaterialOrderLine.order_id == MaterialOrder.id)
        .where(MaterialOrder.vendor_id.in_(asked), Receipt.received_on > Receipt.expected_on)
        .subquery()
    )
    found = session.execute(
        sa.select(late.c.vendor_id, late.c.received_on, late.c.expected_on).where(late.c.place <= MOST_LATE)
    )
    days: dict[int, list[int]] = {vendor_id: [] for vendor_id in asked}
    for vendor_id, received_on, expected_on in found:
        days[vendor_id].append((received_on - expected_on).days)
    return {vendor_id: UsualDelay(_usual(late_days), len(late_days)) for vendor_id, late_days in days.items()}


def _usual(late_days: list[int]) -> int:
    if len(late_days) < LEAST_LATE:
        return DELAY_WHEN_UNKNOWN
    ordered = sorted(late_days)
    middle = len(ordered) // 2
    if len(ordered) % 2:
        return ordered[middle]
    return -(-(ordered[middle - 1] + ordered[middle]) // 2)
