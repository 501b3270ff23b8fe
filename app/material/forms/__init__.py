"""What is typed about vendors, purchases and receipts."""

from app.material.forms.receipts import CorrectionForm, OtherReceiptForm, ReceiptForm
from app.material.forms.vendors import VendorForm

__all__ = ["CorrectionForm", "OtherReceiptForm", "ReceiptForm", "VendorForm"]
