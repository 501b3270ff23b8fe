"""The invented parts of Nightjar Instruments: for telescope mounts."""

from seed_demo.catalog.parts import ALU, BRASS, STAINLESS, bar, casting, made_for, sawn
from seed_demo.steps import chuck, deburr, drill, inspect, mill, outside, tumble, turn

PARTS = made_for(
    "Nightjar Instruments",
    casting(
        "NJ-2001",
        "Pier adapter flange",
        grams=(5200, 4100),
        price="118.00",
        steps=(
            chuck("Turn face and register", 520),
            mill("Mill bolt slots", 660, 2, 180),
            drill("Drill and tap twelve M8", 190),
            deburr(70),
            inspect(160),
        ),
    ),
    sawn(
        "NJ-2010",
        "Altitude fork arm",
        material=ALU,
        grams=(2600, 1500),
        price="142.00",
        steps=(
            mill("Rough both sides", 1500, 2, 200),
            mill("Finish bores and pads", 1100, 2, 220),
            deburr(110),
            outside("Anodize, black", 7),
            inspect(180),
        ),
    ),
    sawn(
        "NJ-2011",
        "Altitude fork base",
        material=ALU,
        grams=(3400, 2200),
        price="156.00",
        steps=(
            mill("Rough both sides", 1320, 2, 200),
            mill("Finish pads", 980, 2, 220),
            drill("Drill and tap nine holes", 150),
            deburr(90),
            outside("Anodize, black", 7),
            inspect(150),
        ),
    ),
    bar(
        "NJ-2030",
        "Counterweight shaft",
        material=STAINLESS,
        per_bar=7,
        grams=(1650, 1500),
        price="44.00",
        steps=(
            turn("Turn and thread both ends", 310, 7),
            deburr(25),
            inspect(60),
        ),
    ),
    bar(
        "NJ-2031",
        "Knurled lock knob",
        material=BRASS,
        per_bar=52,
        grams=(110, 74),
        price="9.80",
        steps=(
            turn("Turn, knurl and tap", 84, 52),
            tumble(20, "corn cob", 3000),
            inspect(12),
        ),
    ),
    sawn(
        "NJ-2044",
        "Dovetail plate, 300 mm",
        material=ALU,
        grams=(980, 610),
        price="66.00",
        steps=(
            mill("Mill dovetail and slots", 900, 3, 160),
            drill("Drill and tap", 88),
            tumble(25, "ceramic 6 mm"),
            outside("Anodize, black", 7),
            inspect(70),
        ),
    ),
    sawn(
        "NJ-2045",
        "Dovetail clamp jaw",
        material=ALU,
        grams=(310, 170),
        price="24.50",
        steps=(
            mill("Mill complete", 330, 6, 120),
            drill("Drill and tap", 36),
            outside("Anodize, black", 7),
            inspect(26),
        ),
    ),
)
