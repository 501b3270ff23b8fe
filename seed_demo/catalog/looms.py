"""The invented parts of Larkfield Looms: for looms."""

from seed_demo.catalog.parts import ALU, bar, casting, made_for, plate, sawn
from seed_demo.steps import chuck, deburr, drill, inspect, mill, tumble, turn

PARTS = made_for(
    "Larkfield Looms",
    casting(
        "LL-4001",
        "Heddle cam",
        grams=(1800, 1300),
        price="57.00",
        steps=(
            chuck("Turn bore and faces", 260),
            mill("Mill cam track", 1140, 2, 170),
            deburr(55),
            inspect(130),
        ),
    ),
    casting(
        "LL-4002",
        "Shuttle box bracket",
        grams=(2200, 1750),
        price="41.60",
        steps=(
            mill("Mill three pads", 720, 4, 180),
            drill("Drill and tap", 92),
            deburr(35),
            inspect(55),
        ),
    ),
    sawn(
        "LL-4015",
        "Reed cap end",
        material=ALU,
        grams=(290, 190),
        price="16.40",
        steps=(
            mill("Mill complete", 300, 8, 130),
            tumble(30, "ceramic 6 mm"),
            inspect(18),
        ),
    ),
    bar(
        "LL-4020",
        "Pawl pivot",
        material="1144 steel",
        per_bar=96,
        grams=(90, 64),
        price="5.10",
        steps=(
            turn("Turn complete", 48, 96),
            tumble(25, "ceramic 6 mm"),
            inspect(10),
        ),
    ),
    plate(
        "LL-4031",
        "Take-up ratchet",
        grams=(700, 480),
        price="33.50",
        each=16,
        steps=(
            chuck("Turn bore", 150),
            mill("Mill teeth", 620, 4, 150),
            deburr(45),
            inspect(70),
        ),
    ),
)
