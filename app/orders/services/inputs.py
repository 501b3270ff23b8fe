"""What a person asks for when they take an order, as typed values."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from app.orders.models import DueMeans
from app.people.models import Person

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
    weight: int = 1
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
    """What can be changed about a line: the price of one piece, whether it is a rush, and a standing order's total."""

    price: Decimal
    rush: bool
    standing_quantity: int | None = None


@dataclass(frozen=True, slots=True)
class Terms:
    """What is agreed about a delivery.

    Attributes:
        quantity: pieces.
        due: the day, in the customer's meaning.
        revision_id: another revision of the part; None: the one it is of.
        far_dates_meant: a date more than five years ahead is meant.
        over_agreed: the customer agreed to more than the standing order's total, which rises with it.
    """

    quantity: int
    due: date
    revision_id: int | None = None
    far_dates_meant: bool = False
    over_agreed: bool = False


@dataclass(frozen=True, slots=True)
class Talk:
    """The circumstances of an agreement.

    Attributes:
        key: the client's key of the form that was sent; the same key never counts twice.
        now: when it is written down (aware).
        by: who writes it down.
        agreed_with: who agreed at the customer.
        note: why, in free words.
    """

    key: str
    now: datetime
    by: Person | None = None
    agreed_with: str = ""
    note: str = ""
