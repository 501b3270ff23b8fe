"""What a person types into the order form, as a browser sends it."""

from datetime import date
from decimal import Decimal

from app.orders.services import NewDelivery, NewLine, NewOrder

RECEIVED = date(2026, 1, 7)
DUE = date(2026, 2, 6)


def order_form(line=None, **fields):
    """Return a form with one line and one delivery; ``line`` changes fields of the line, ``fields`` the others."""
    sent = {"customer": "Brightwater Pumps", "their_number": "BW-1", "received_on": "2026-01-07", "note": ""}
    first = {"part": "HB-100", "revision": "", "price": "12.50"}
    first |= {"deliveries-0-quantity": "50", "deliveries-0-due": "2026-02-06"} | (line or {})
    return sent | {f"lines-0-{name}": value for name, value in first.items()} | fields


def order_input(*deliveries, part="HB-100", customer="Brightwater Pumps", their_number="BW-1", **more):
    """Return an order of one line for the service."""
    made = tuple(NewDelivery(*each) for each in deliveries or [(50, DUE)])
    line = NewLine(part, made, price=Decimal("12.50"), rush=more.pop("rush", False), revision=more.pop("revision", ""))
    return NewOrder(customer, their_number, more.pop("received_on", RECEIVED), (line,), **more)
