"""What is typed about customers and orders."""

from app.orders.forms.customers import CustomerForm
from app.orders.forms.deliveries import AgreedForm, CancelForm, DeliveryForm, ShortForm
from app.orders.forms.lines import AddLineForm, LinesForm, LineTermsForm
from app.orders.forms.orders import OrderForm, OrderHeadForm
from app.orders.forms.promises import AskedPromise

__all__ = [
    "AddLineForm",
    "AgreedForm",
    "AskedPromise",
    "CancelForm",
    "CustomerForm",
    "DeliveryForm",
    "LineTermsForm",
    "LinesForm",
    "OrderForm",
    "OrderHeadForm",
    "ShortForm",
]
