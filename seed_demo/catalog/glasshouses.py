"""The invented parts of Fernlight Glasshouses: for glasshouses."""

from seed_demo.catalog.parts import BRASS, bar, casting, made_for, plate
from seed_demo.steps import deburr, drill, inspect, knee, mill, tumble, turn

PARTS = made_for(
    "Fernlight Glasshouses",
    plate(
        "FG-1120",
        "Vent arm, left",
        grams=(900, 640),
        price="18.40",
        steps=(
            mill("Mill both faces", 540, 6, 150),
            drill("Drill and tap M8", 48),
            tumble(40, "ceramic 10 mm"),
            inspect(35),
        ),
    ),
    plate(
        "FG-1121",
        "Vent arm, right",
        grams=(900, 640),
        price="18.40",
        steps=(
            mill("Mill both faces", 540, 6, 150),
            drill("Drill and tap M8", 48),
            tumble(40, "ceramic 10 mm"),
            inspect(35),
        ),
    ),
    plate(
        "FG-1140",
        "Rack bracket",
        grams=(1400, 980),
        price="22.10",
        each=8,
        steps=(
            mill("Mill seat and pads", 780, 8, 200),
            drill("Drill four holes", 62),
            deburr(25),
            inspect(30),
        ),
    ),
    plate(
        "FG-1162",
        "Ridge gusset",
        grams=(2100, 1700),
        price="16.75",
        each=6,
        steps=(
            drill("Drill eight holes", 95),
            deburr(40),
            inspect(25),
        ),
    ),
    casting(
        "FG-1205",
        "Worm gear housing",
        grams=(3900, 3100),
        price="61.00",
        steps=(
            mill("Mill base and bores, side 1", 1260, 4, 260, 4200),
            mill("Mill cover face, side 2", 840, 4, 220),
            drill("Drill and tap six M6", 110),
            deburr(60),
            inspect(120),
        ),
    ),
    casting(
        "FG-1206",
        "Worm gear cover",
        grams=(1500, 1150),
        price="27.50",
        steps=(
            mill("Mill joint face", 480, 6, 150),
            drill("Drill six holes", 70),
            inspect(45),
        ),
    ),
    bar(
        "FG-1230",
        "Worm shaft",
        material="1144 steel",
        per_bar=24,
        grams=(520, 380),
        price="19.90",
        steps=(
            turn("Turn complete", 165, 24),
            knee("Mill key slot", 55),
            deburr(20),
            inspect(50),
        ),
    ),
    bar(
        "FG-1231",
        "Thrust washer",
        material=BRASS,
        per_bar=180,
        grams=(38, 22),
        price="2.95",
        steps=(
            turn("Turn and part off", 32, 180),
            tumble(25, "corn cob", 3000),
            inspect(8),
        ),
    ),
)
