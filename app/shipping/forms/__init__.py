"""What is typed about shipments and goods that come back."""

from app.shipping.forms.returns import DecisionForm, ReturnForm
from app.shipping.forms.shipments import ShipmentForm, TakeBackForm, proposed_rows

__all__ = ["DecisionForm", "ReturnForm", "ShipmentForm", "TakeBackForm", "proposed_rows"]
