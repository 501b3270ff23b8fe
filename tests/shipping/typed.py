"""A shipment as a person types it."""

import itertools

_keys = itertools.count(1)


def rows(*lines, **more):
    """Return what the form sends for rows of lot, delivery and pieces; each with a key of its own."""
    sent = {
        "key": f"typed-{next(_keys)}",
        "customer_id": str(lines[0][1].line.order.customer_id),
        "shipped_on": "2026-01-07",
        "carrier": "",
        "note": "",
    }
    for at, (lot, delivery, pieces) in enumerate(lines):
        row = {"lot_id": lot.id, "delivery_id": delivery.id, "pieces": pieces}
        sent |= {f"lines-{at}-{name}": str(value) for name, value in row.items()}
    return sent | more
