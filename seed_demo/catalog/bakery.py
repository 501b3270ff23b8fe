"""The invented parts of Crumb & Kettle Bakery Machines: for bakery machines."""

from seed_demo.catalog.parts import STAINLESS, bar, casting, made_for, plate, sawn
from seed_demo.steps import deburr, drill, inspect, knee, mill, press, tumble, turn

PARTS = made_for(
    "Crumb & Kettle Bakery Machines",
    casting(
        "CK-3102",
        "Kneader gearbox half",
        grams=(6800, 5600),
        price="134.00",
        steps=(
            mill("Mill joint face and bores", 1680, 2, 320, 4800),
            drill("Drill and tap sixteen holes", 240),
            deburr(120),
            inspect(200),
        ),
    ),
    casting(
        "CK-3103",
        "Slicer frame foot",
        grams=(2400, 2000),
        price="29.40",
        steps=(
            mill("Mill foot and pad", 540, 4, 160),
            drill("Drill two holes", 40),
            inspect(25),
        ),
    ),
    plate(
        "CK-3120",
        "Blade carrier plate",
        grams=(1900, 1350),
        price="38.00",
        each=9,
        steps=(
            mill("Mill edges and slots", 960, 4, 180),
            drill("Drill for studs", 75),
            press("Press eight studs", 85),
            inspect(60),
        ),
    ),
    bar(
        "CK-3121",
        "Press stud, M6",
        material="1144 steel",
        per_bar=210,
        grams=(16, 11),
        price="0.95",
        steps=(
            turn("Turn, groove and thread", 24, 210),
            tumble(20, "corn cob", 3000),
            inspect(4),
        ),
    ),
    bar(
        "CK-3133",
        "Conveyor roller end",
        material=STAINLESS,
        per_bar=60,
        grams=(180, 120),
        price="8.70",
        steps=(
            turn("Turn complete", 66, 60),
            deburr(10),
            inspect(14),
        ),
    ),
    sawn(
        "CK-3140",
        "Dough guide block",
        material="acetal, natural",
        grams=(150, 95),
        price="17.20",
        steps=(
            mill("Mill complete", 380, 8, 120),
            deburr(35),
            inspect(20),
        ),
    ),
    bar(
        "CK-3150",
        "Flour gate spindle",
        material=STAINLESS,
        per_bar=16,
        grams=(480, 400),
        price="26.30",
        steps=(
            turn("Turn and thread", 190, 16),
            knee("Mill two flats", 60),
            deburr(18),
            inspect(36),
        ),
    ),
)
