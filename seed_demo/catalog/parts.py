"""What an invented part is, and the kinds of blank that parts are cut from; grams are those of blank and piece."""

from dataclasses import dataclass, replace
from decimal import Decimal

from app.parts.models import BlankForm, BlankSource, Taking
from seed_demo.steps import Step, blanks

LONGEST_RUN = 22 * 3600
LOADED = (Taking.LOAD, Taking.BATCH)


Steps = tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class PartData:
    """One part with its blank, its routing and how it is ordered."""

    number: str
    name: str
    customer: str
    material: str
    blank: str
    vendor: str
    form: BlankForm
    per_unit: int
    unit_price: str
    blank_grams: int
    piece_grams: int
    lots: tuple[int, int]
    """Usual order quantity, from and to."""
    price: str
    steps: Steps
    source: BlankSource = BlankSource.VENDOR

    @property
    def largest_lot(self) -> int:
        """Return how many pieces the slowest station makes in about two long days: nobody orders more at once."""
        slowest = max(step.cycle / (step.pieces if step.taking in LOADED else 1) for step in self.steps)
        return int(LONGEST_RUN // slowest)

    @property
    def lead_days(self) -> int:
        """Return the blank's lead time."""
        return next((step.lead_days for step in self.steps if step.kind == "Ordering blanks"), 0)

    @property
    def blank_price(self) -> Decimal:
        """Return the price of one bought piece, plate or bar."""
        return Decimal(self.unit_price)

    @property
    def selling_price(self) -> Decimal:
        """Return the price of one piece."""
        return Decimal(self.price)


PLATE, PIECE, BAR = BlankForm.PLATE, BlankForm.PIECE, BlankForm.BAR
NOBODY = ""  # made_for says whose the parts are
STEEL, ALU, BRASS, STAINLESS, IRON = "A36 plate", "6061-T6", "C360 brass", "304 stainless", "Class 30 gray iron"


def plate(number: str, name: str, *, grams: tuple[int, int], price: str, steps: Steps, each: int = 12) -> PartData:
    """Cut from flame-cut plate blanks."""
    return PartData(
        number,
        name,
        NOBODY,
        STEEL,
        f"flame-cut blank, {each} from a plate",
        "plate",
        PLATE,
        each,
        "96.0000",
        *grams,
        (120, 480),
        price,
        (blanks(9), *steps),
    )


def casting(number: str, name: str, *, grams: tuple[int, int], price: str, steps: Steps) -> PartData:
    """Cut from castings."""
    return PartData(
        number,
        name,
        NOBODY,
        IRON,
        "sand casting, snagged",
        "castings",
        PIECE,
        1,
        "11.5000",
        *grams,
        (60, 240),
        price,
        (blanks(21), *steps),
    )


def bar(
    number: str, name: str, *, material: str, per_bar: int, grams: tuple[int, int], price: str, steps: Steps
) -> PartData:
    """Turned or milled from bar."""
    return PartData(
        number,
        name,
        NOBODY,
        material,
        f"12 ft bar, {per_bar} pieces",
        "bar",
        BAR,
        per_bar,
        "48.0000",
        *grams,
        (300, 1500),
        price,
        (blanks(4), *steps),
    )


def sawn(number: str, name: str, *, material: str, grams: tuple[int, int], price: str, steps: Steps) -> PartData:
    """Cut from sawn blocks."""
    return PartData(
        number,
        name,
        NOBODY,
        material,
        "sawn block, bought to length",
        "bar",
        PIECE,
        1,
        "3.2000",
        *grams,
        (80, 520),
        price,
        (blanks(6), *steps),
    )


def made_for(customer: str, *parts: PartData) -> tuple[PartData, ...]:
    """Return the parts as those of a customer."""
    return tuple(replace(part, customer=customer) for part in parts)
