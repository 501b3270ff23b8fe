"""Lots that wait for blanks, and purchases of these, made through the program's own services."""

import itertools
from datetime import date
from typing import Any

from sqlalchemy import orm

from app.lots.models import Lot
from app.lots.services import NewLot, Share, release_lot
from app.material.models import MaterialOrder, Receipt
from app.material.services import NewReceipt, receive
from app.parts.models import BlankForm, Revision
from app.purchasing.queries import Key
from app.purchasing.services import NewPurchase, PurchaseLine, order_material
from app.purchasing.services import Share as Meant
from tests.factories.lots import MORNING, act, make_routing
from tests.factories.shipping import make_delivery

TODAY = date(2026, 1, 7)
_heats = itertools.count(1)


def make_blank(*, pieces_per_unit: int = 9, form: BlankForm = BlankForm.PLATE, **more: Any) -> Revision:
    """Make a revision whose routing orders its blanks, with a lead time of five days."""
    revision: Revision = make_routing(operations=1, blanks=True).revision
    facts = {"blank": "Plate 20 x 90 x 140", "blank_form": form, "pieces_per_unit": pieces_per_unit} | more
    for name, value in facts.items():
        setattr(revision, name, value)
    orm.object_session(revision).commit()  # type: ignore[union-attr]  # it was made in the test's session
    return revision


def make_waiting_lot(
    session: orm.Session, revision: Revision, *, pieces: int = 30, due: date | None = date(2026, 2, 6)
) -> Lot:
    """Release a lot for a delivery, or for stock, that waits for all its blanks."""
    shares = () if due is None else (Share(make_delivery(revision, quantity=pieces, due=due).id, pieces),)
    new = NewLot(revision.id, needed=pieces, to_start=pieces, shares=shares, issue_blanks=False)
    lot = release_lot(session, act(), new)
    session.commit()
    return lot


def make_blank_order(
    session: orm.Session, revision: Revision, *meant: tuple[Lot, int], vendor: str = "Copperfield Metals", **line: Any
) -> MaterialOrder:
    """Order blanks of one revision for some lots; the lots' pieces decide how many units unless ``units`` does."""
    shares = tuple(Meant(lot.id, pieces) for lot, pieces in meant)
    new = NewPurchase(vendor, TODAY, (PurchaseLine(Key(revision.id), shares, **line),), new_vendor=True)
    order = order_material(session, act(), new)
    session.commit()
    return order


def make_receipt(
    session: orm.Session, order: MaterialOrder | None, pieces: int, *, revision: Revision | None = None, **more: Any
) -> Receipt:
    """Receive blanks of a purchase's first line, or of no purchase."""
    facts: dict[str, Any] = {"heat": f"H{next(_heats):05}", "received_on": TODAY} | more
    source = {"line_id": order.lines[0].id} if order else {"revision_id": revision.id if revision else None}
    receipt = receive(session, NewReceipt(pieces=pieces, **source, **facts), None, MORNING)
    session.commit()
    return receipt
