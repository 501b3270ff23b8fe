"""The invented parts of Stillwater Shells: for rowing shells."""

from seed_demo.catalog.parts import ALU, STAINLESS, bar, made_for, sawn
from seed_demo.steps import deburr, drill, inspect, mill, outside, press, tumble, turn

PARTS = made_for(
    "Stillwater Shells",
    sawn(
        "SW-0410",
        "Outrigger clamp",
        material=ALU,
        grams=(420, 260),
        price="31.00",
        steps=(
            mill("Mill side 1", 420, 6, 130),
            mill("Mill side 2", 360, 6, 120),
            drill("Drill and tap pinch screw", 45),
            tumble(30, "ceramic 6 mm"),
            outside("Anodize, clear", 6),
            inspect(40),
        ),
    ),
    sawn(
        "SW-0411",
        "Outrigger clamp cap",
        material=ALU,
        grams=(260, 150),
        price="19.20",
        steps=(
            mill("Mill complete", 300, 8, 140),
            tumble(30, "ceramic 6 mm"),
            outside("Anodize, clear", 6),
            inspect(25),
        ),
    ),
    sawn(
        "SW-0425",
        "Oarlock pin block",
        material=ALU,
        grams=(350, 210),
        price="28.75",
        steps=(
            mill("Mill complete", 480, 6, 130),
            drill("Ream pin bore", 52),
            outside("Anodize, black", 7),
            inspect(55),
        ),
    ),
    bar(
        "SW-0430",
        "Oarlock pin",
        material=STAINLESS,
        per_bar=40,
        grams=(210, 165),
        price="12.60",
        steps=(
            turn("Turn and thread", 96, 40),
            deburr(12),
            inspect(22),
        ),
    ),
    bar(
        "SW-0431",
        "Spacer, 6 mm",
        material=ALU,
        per_bar=260,
        grams=(14, 9),
        price="1.35",
        steps=(
            turn("Turn and part off", 18, 260),
            tumble(20, "corn cob", 3000),
            inspect(4),
        ),
    ),
    sawn(
        "SW-0452",
        "Stretcher rail end",
        material=ALU,
        grams=(180, 110),
        price="14.10",
        steps=(
            mill("Mill complete", 260, 8, 120),
            tumble(30, "ceramic 6 mm"),
            inspect(18),
        ),
    ),
    sawn(
        "SW-0470",
        "Seat axle fork",
        material=ALU,
        grams=(240, 130),
        price="21.80",
        steps=(
            mill("Mill side 1", 300, 8, 130),
            mill("Mill side 2", 240, 8, 120),
            press("Press two bushings", 28),
            inspect(30),
        ),
    ),
)
