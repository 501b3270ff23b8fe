"""The invented parts of Pintle & Thole Marine Hardware: for boats."""

from seed_demo.catalog.parts import ALU, BRASS, STAINLESS, bar, made_for, plate, sawn
from seed_demo.steps import deburr, drill, inspect, mill, outside, press, tumble, turn

PARTS = made_for(
    "Pintle & Thole Marine Hardware",
    plate(
        "PT-5007",
        "Gudgeon strap, 80 mm",
        grams=(800, 560),
        price="26.00",
        each=10,
        steps=(
            mill("Mill and profile", 600, 6, 150),
            drill("Drill six holes", 66),
            deburr(30),
            inspect(28),
        ),
    ),
    bar(
        "PT-5008",
        "Pintle pin, 10 mm",
        material=STAINLESS,
        per_bar=45,
        grams=(190, 160),
        price="10.90",
        steps=(
            turn("Turn complete", 88, 45),
            deburr(12),
            inspect(18),
        ),
    ),
    plate(
        "PT-5020",
        "Mast step plate",
        grams=(1600, 1200),
        price="35.00",
        each=8,
        steps=(
            mill("Mill slot and edges", 740, 4, 160),
            drill("Drill ten holes", 98),
            press("Press four studs", 46),
            inspect(40),
        ),
    ),
    sawn(
        "PT-5033",
        "Fairlead body",
        material="C954 bronze",
        grams=(880, 520),
        price="72.00",
        steps=(
            mill("Mill side 1", 560, 4, 140),
            mill("Mill side 2", 480, 4, 140),
            tumble(45, "ceramic 10 mm"),
            inspect(48),
        ),
    ),
    bar(
        "PT-5034",
        "Fairlead bush",
        material=BRASS,
        per_bar=110,
        grams=(70, 44),
        price="6.20",
        steps=(
            turn("Turn complete", 46, 110),
            tumble(20, "corn cob", 3000),
            inspect(10),
        ),
    ),
    sawn(
        "PT-5051",
        "Cleat base",
        material=ALU,
        grams=(410, 270),
        price="23.90",
        steps=(
            mill("Mill complete", 420, 6, 130),
            drill("Countersink four holes", 34),
            outside("Anodize, clear", 6),
            inspect(24),
        ),
    ),
)
