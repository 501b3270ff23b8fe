"""The invented parts: for glasshouses, rowing shells, instruments, bakery machines, looms and boats."""

from dataclasses import dataclass
from decimal import Decimal

from app.parts.models import BlankForm, BlankSource, Taking
from seed_demo.steps import (
    Step,
    blanks,
    chuck,
    deburr,
    drill,
    inspect,
    knee,
    mill,
    outside,
    press,
    tumble,
    turn,
)

LONGEST_RUN = 22 * 3600
LOADED = (Taking.LOAD, Taking.BATCH)


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
    steps: tuple[Step, ...]
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
F, S, N = "Fernlight Glasshouses", "Stillwater Shells", "Nightjar Instruments"
C, L, P = "Crumb & Kettle Bakery Machines", "Larkfield Looms", "Pintle & Thole Marine Hardware"
STEEL, ALU, BRASS, STAINLESS, IRON = "A36 plate", "6061-T6", "C360 brass", "304 stainless", "Class 30 gray iron"


def plate(
    number: str, name: str, customer: str, grams: tuple[int, int], price: str, *steps: Step, each: int = 12
) -> PartData:
    """Cut from flame-cut plate blanks."""
    return PartData(
        number,
        name,
        customer,
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


def casting(number: str, name: str, customer: str, grams: tuple[int, int], price: str, *steps: Step) -> PartData:
    """Cut from castings."""
    return PartData(
        number,
        name,
        customer,
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
    number: str, name: str, customer: str, material: str, per_bar: int, grams: tuple[int, int], price: str, *steps: Step
) -> PartData:
    """Turned or milled from bar."""
    return PartData(
        number,
        name,
        customer,
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


def sawn(
    number: str, name: str, customer: str, material: str, grams: tuple[int, int], price: str, *steps: Step
) -> PartData:
    """Cut from sawn blocks."""
    return PartData(
        number,
        name,
        customer,
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


PARTS = [
    plate(
        "FG-1120",
        "Vent arm, left",
        F,
        (900, 640),
        "18.40",
        mill("Mill both faces", 540, 6, 150),
        drill("Drill and tap M8", 48),
        tumble(40, "ceramic 10 mm"),
        inspect(35),
    ),
    plate(
        "FG-1121",
        "Vent arm, right",
        F,
        (900, 640),
        "18.40",
        mill("Mill both faces", 540, 6, 150),
        drill("Drill and tap M8", 48),
        tumble(40, "ceramic 10 mm"),
        inspect(35),
    ),
    plate(
        "FG-1140",
        "Rack bracket",
        F,
        (1400, 980),
        "22.10",
        mill("Mill seat and pads", 780, 8, 200),
        drill("Drill four holes", 62),
        deburr(25),
        inspect(30),
        each=8,
    ),
    plate(
        "FG-1162",
        "Ridge gusset",
        F,
        (2100, 1700),
        "16.75",
        drill("Drill eight holes", 95),
        deburr(40),
        inspect(25),
        each=6,
    ),
    casting(
        "FG-1205",
        "Worm gear housing",
        F,
        (3900, 3100),
        "61.00",
        mill("Mill base and bores, side 1", 1260, 4, 260, 4200),
        mill("Mill cover face, side 2", 840, 4, 220),
        drill("Drill and tap six M6", 110),
        deburr(60),
        inspect(120),
    ),
    casting(
        "FG-1206",
        "Worm gear cover",
        F,
        (1500, 1150),
        "27.50",
        mill("Mill joint face", 480, 6, 150),
        drill("Drill six holes", 70),
        inspect(45),
    ),
    bar(
        "FG-1230",
        "Worm shaft",
        F,
        "1144 steel",
        24,
        (520, 380),
        "19.90",
        turn("Turn complete", 165, 24),
        knee("Mill key slot", 55),
        deburr(20),
        inspect(50),
    ),
    bar(
        "FG-1231",
        "Thrust washer",
        F,
        BRASS,
        180,
        (38, 22),
        "2.95",
        turn("Turn and part off", 32, 180),
        tumble(25, "corn cob", 3000),
        inspect(8),
    ),
    sawn(
        "SW-0410",
        "Outrigger clamp",
        S,
        ALU,
        (420, 260),
        "31.00",
        mill("Mill side 1", 420, 6, 130),
        mill("Mill side 2", 360, 6, 120),
        drill("Drill and tap pinch screw", 45),
        tumble(30, "ceramic 6 mm"),
        outside("Anodize, clear", 6),
        inspect(40),
    ),
    sawn(
        "SW-0411",
        "Outrigger clamp cap",
        S,
        ALU,
        (260, 150),
        "19.20",
        mill("Mill complete", 300, 8, 140),
        tumble(30, "ceramic 6 mm"),
        outside("Anodize, clear", 6),
        inspect(25),
    ),
    sawn(
        "SW-0425",
        "Oarlock pin block",
        S,
        ALU,
        (350, 210),
        "28.75",
        mill("Mill complete", 480, 6, 130),
        drill("Ream pin bore", 52),
        outside("Anodize, black", 7),
        inspect(55),
    ),
    bar(
        "SW-0430",
        "Oarlock pin",
        S,
        STAINLESS,
        40,
        (210, 165),
        "12.60",
        turn("Turn and thread", 96, 40),
        deburr(12),
        inspect(22),
    ),
    bar(
        "SW-0431",
        "Spacer, 6 mm",
        S,
        ALU,
        260,
        (14, 9),
        "1.35",
        turn("Turn and part off", 18, 260),
        tumble(20, "corn cob", 3000),
        inspect(4),
    ),
    sawn(
        "SW-0452",
        "Stretcher rail end",
        S,
        ALU,
        (180, 110),
        "14.10",
        mill("Mill complete", 260, 8, 120),
        tumble(30, "ceramic 6 mm"),
        inspect(18),
    ),
    sawn(
        "SW-0470",
        "Seat axle fork",
        S,
        ALU,
        (240, 130),
        "21.80",
        mill("Mill side 1", 300, 8, 130),
        mill("Mill side 2", 240, 8, 120),
        press("Press two bushings", 28),
        inspect(30),
    ),
    casting(
        "NJ-2001",
        "Pier adapter flange",
        N,
        (5200, 4100),
        "118.00",
        chuck("Turn face and register", 520),
        mill("Mill bolt slots", 660, 2, 180),
        drill("Drill and tap twelve M8", 190),
        deburr(70),
        inspect(160),
    ),
    sawn(
        "NJ-2010",
        "Altitude fork arm",
        N,
        ALU,
        (2600, 1500),
        "142.00",
        mill("Rough both sides", 1500, 2, 200),
        mill("Finish bores and pads", 1100, 2, 220),
        deburr(110),
        outside("Anodize, black", 7),
        inspect(180),
    ),
    sawn(
        "NJ-2011",
        "Altitude fork base",
        N,
        ALU,
        (3400, 2200),
        "156.00",
        mill("Rough both sides", 1320, 2, 200),
        mill("Finish pads", 980, 2, 220),
        drill("Drill and tap nine holes", 150),
        deburr(90),
        outside("Anodize, black", 7),
        inspect(150),
    ),
    bar(
        "NJ-2030",
        "Counterweight shaft",
        N,
        STAINLESS,
        7,
        (1650, 1500),
        "44.00",
        turn("Turn and thread both ends", 310, 7),
        deburr(25),
        inspect(60),
    ),
    bar(
        "NJ-2031",
        "Knurled lock knob",
        N,
        BRASS,
        52,
        (110, 74),
        "9.80",
        turn("Turn, knurl and tap", 84, 52),
        tumble(20, "corn cob", 3000),
        inspect(12),
    ),
    sawn(
        "NJ-2044",
        "Dovetail plate, 300 mm",
        N,
        ALU,
        (980, 610),
        "66.00",
        mill("Mill dovetail and slots", 900, 3, 160),
        drill("Drill and tap", 88),
        tumble(25, "ceramic 6 mm"),
        outside("Anodize, black", 7),
        inspect(70),
    ),
    sawn(
        "NJ-2045",
        "Dovetail clamp jaw",
        N,
        ALU,
        (310, 170),
        "24.50",
        mill("Mill complete", 330, 6, 120),
        drill("Drill and tap", 36),
        outside("Anodize, black", 7),
        inspect(26),
    ),
    casting(
        "CK-3102",
        "Kneader gearbox half",
        C,
        (6800, 5600),
        "134.00",
        mill("Mill joint face and bores", 1680, 2, 320, 4800),
        drill("Drill and tap sixteen holes", 240),
        deburr(120),
        inspect(200),
    ),
    casting(
        "CK-3103",
        "Slicer frame foot",
        C,
        (2400, 2000),
        "29.40",
        mill("Mill foot and pad", 540, 4, 160),
        drill("Drill two holes", 40),
        inspect(25),
    ),
    plate(
        "CK-3120",
        "Blade carrier plate",
        C,
        (1900, 1350),
        "38.00",
        mill("Mill edges and slots", 960, 4, 180),
        drill("Drill for studs", 75),
        press("Press eight studs", 85),
        inspect(60),
        each=9,
    ),
    bar(
        "CK-3121",
        "Press stud, M6",
        C,
        "1144 steel",
        210,
        (16, 11),
        "0.95",
        turn("Turn, groove and thread", 24, 210),
        tumble(20, "corn cob", 3000),
        inspect(4),
    ),
    bar(
        "CK-3133",
        "Conveyor roller end",
        C,
        STAINLESS,
        60,
        (180, 120),
        "8.70",
        turn("Turn complete", 66, 60),
        deburr(10),
        inspect(14),
    ),
    sawn(
        "CK-3140",
        "Dough guide block",
        C,
        "acetal, natural",
        (150, 95),
        "17.20",
        mill("Mill complete", 380, 8, 120),
        deburr(35),
        inspect(20),
    ),
    bar(
        "CK-3150",
        "Flour gate spindle",
        C,
        STAINLESS,
        16,
        (480, 400),
        "26.30",
        turn("Turn and thread", 190, 16),
        knee("Mill two flats", 60),
        deburr(18),
        inspect(36),
    ),
    casting(
        "LL-4001",
        "Heddle cam",
        L,
        (1800, 1300),
        "57.00",
        chuck("Turn bore and faces", 260),
        mill("Mill cam track", 1140, 2, 170),
        deburr(55),
        inspect(130),
    ),
    casting(
        "LL-4002",
        "Shuttle box bracket",
        L,
        (2200, 1750),
        "41.60",
        mill("Mill three pads", 720, 4, 180),
        drill("Drill and tap", 92),
        deburr(35),
        inspect(55),
    ),
    sawn(
        "LL-4015",
        "Reed cap end",
        L,
        ALU,
        (290, 190),
        "16.40",
        mill("Mill complete", 300, 8, 130),
        tumble(30, "ceramic 6 mm"),
        inspect(18),
    ),
    bar(
        "LL-4020",
        "Pawl pivot",
        L,
        "1144 steel",
        96,
        (90, 64),
        "5.10",
        turn("Turn complete", 48, 96),
        tumble(25, "ceramic 6 mm"),
        inspect(10),
    ),
    plate(
        "LL-4031",
        "Take-up ratchet",
        L,
        (700, 480),
        "33.50",
        chuck("Turn bore", 150),
        mill("Mill teeth", 620, 4, 150),
        deburr(45),
        inspect(70),
        each=16,
    ),
    plate(
        "PT-5007",
        "Gudgeon strap, 80 mm",
        P,
        (800, 560),
        "26.00",
        mill("Mill and profile", 600, 6, 150),
        drill("Drill six holes", 66),
        deburr(30),
        inspect(28),
        each=10,
    ),
    bar(
        "PT-5008",
        "Pintle pin, 10 mm",
        P,
        STAINLESS,
        45,
        (190, 160),
        "10.90",
        turn("Turn complete", 88, 45),
        deburr(12),
        inspect(18),
    ),
    plate(
        "PT-5020",
        "Mast step plate",
        P,
        (1600, 1200),
        "35.00",
        mill("Mill slot and edges", 740, 4, 160),
        drill("Drill ten holes", 98),
        press("Press four studs", 46),
        inspect(40),
        each=8,
    ),
    sawn(
        "PT-5033",
        "Fairlead body",
        P,
        "C954 bronze",
        (880, 520),
        "72.00",
        mill("Mill side 1", 560, 4, 140),
        mill("Mill side 2", 480, 4, 140),
        tumble(45, "ceramic 10 mm"),
        inspect(48),
    ),
    bar(
        "PT-5034",
        "Fairlead bush",
        P,
        BRASS,
        110,
        (70, 44),
        "6.20",
        turn("Turn complete", 46, 110),
        tumble(20, "corn cob", 3000),
        inspect(10),
    ),
    sawn(
        "PT-5051",
        "Cleat base",
        P,
        ALU,
        (410, 270),
        "23.90",
        mill("Mill complete", 420, 6, 130),
        drill("Countersink four holes", 34),
        outside("Anodize, clear", 6),
        inspect(24),
    ),
]

STUDS = "CK-3121"
FITTED = {"CK-3120": (STUDS, 40, 8), "PT-5020": (STUDS, 40, 4)}
"""Parts that take press studs made here: component, operation number, how many a piece."""
