"""What a person asks for when they take an order, as typed values."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from app.orders.models import DueMeans

MOST_PIECES = 1_000_000
HIGHEST_PRICE = 10_000_000
MOST_LINES = 100
MOST_DELIVERIES = 100
LONGEST_NUMBER = 40


@dataclass(frozen=True, slots=True)
class NewCustomer:
    """A customer as typed. ``transit_days`` are calendar days on the road."""

    name: str
    address: str = ""
    due_means: DueMeans = DueMeans.LEAVES
    transit_days: int = 0
    active: bool = True


@dataclass(frozen=True, slots=True)
class NewDelivery:
    """A quantity and the day it is due, in the customer's meaning."""

    quantity: int
    due: date


@dataclass(frozen=True, slots=True)
class NewLine:
    """A part by its number and a revision by its label; an empty label means the current one."""

    part: str
    deliveries: tuple[NewDelivery, ...]
    revision: str = ""
    price: Decimal = Decimal(0)
    rush: bool = False


@dataclass(frozen=True, slots=True)
class NewOrder:
    """An order as typed.

    ``new_customer`` allows a name that is no customer's yet; ``far_dates_meant`` confirms due dates that are more than
    five years ahead.
    """

    customer: str
    their_number: str
    received_on: date
    lines: tuple[NewLine, ...]
    note: str = ""
    new_customer: bool = False
    far_dates_meant: bool = False


@dataclass(frozen=True, slots=True)
class OrderHead:
    """What is said about an order as a whole."""

    their_number: str
    received_on: date
    note: str = ""


@dataclass(frozen=True, slots=True)
class LineTerms:
    """What can be changed about a line: the price of one piece, and whether it is a rush."""

    price: Decimal
    rush: bool
