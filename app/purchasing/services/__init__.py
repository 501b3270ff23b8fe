"""The verbs of purchasing."""

from app.purchasing.services.inputs import NewPurchase, PurchaseLine, Share
from app.purchasing.services.issue import issue_receipt
from app.purchasing.services.order import order_material

__all__ = ["NewPurchase", "PurchaseLine", "Share", "issue_receipt", "order_material"]
