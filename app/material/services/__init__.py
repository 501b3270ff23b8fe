"""The verbs of vendors, purchases, receipts and issues."""

from app.material.services.inputs import (
    HIGHEST_PRICE,
    MOST_PIECES,
    MOST_UNITS,
    NewMaterialLine,
    NewMaterialOrder,
    NewReceipt,
    NewVendor,
    ReceiptChange,
)
from app.material.services.issues import CountDifference, issue, recount_issued, take_back
from app.material.services.orders import (
    add_material_order,
    close_line,
    default_expected,
    move_expected,
    reopen_line,
)
from app.material.services.receipts import correct_receipt, receive
from app.material.services.vendors import add_vendor, change_vendor

__all__ = [
    "HIGHEST_PRICE",
    "MOST_PIECES",
    "MOST_UNITS",
    "CountDifference",
    "NewMaterialLine",
    "NewMaterialOrder",
    "NewReceipt",
    "NewVendor",
    "ReceiptChange",
    "add_material_order",
    "add_vendor",
    "change_vendor",
    "close_line",
    "correct_receipt",
    "default_expected",
    "issue",
    "move_expected",
    "receive",
    "recount_issued",
    "reopen_line",
    "take_back",
]
