"""Shops drawn from a seed in which much is wrong or missing: lots that wait for each other, figures of nothing."""

import random
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from app.core.shop import Batch, LeadTime, Lot, NotBefore, OpenJob, Operation, Shop, SinglePiece
from tests.core.planning.every_rule import (
    DAY,
    NOW,
    draw_shop,
    draw_shop_of_few_people,
    draw_shop_of_long_setups,
    draw_shop_of_much_under_way,
)

Changes = dict[str, tuple[float, Any]]
"""Fields of an operation, each with the chance that it is changed, and to what."""


def draw_spoiled_shop(seed: int) -> Shop:
    """Return a shop with every rule switched on, some of whose operations are changed for the worse."""
    draw = random.Random(seed)
    drawn = draw.choice([draw_shop, draw_shop_of_long_setups, draw_shop_of_few_people, draw_shop_of_much_under_way])
    shop = drawn(seed)
    lots, stations = [lot.key for lot in shop.lots], [station.key for station in shop.stations]
    return replace(shop, lots=tuple(_spoiled_lot(draw, lot, lots, stations) for lot in shop.lots))


def _spoiled_lot(draw: random.Random, lot: Lot, lots: Sequence[str], stations: Sequence[str]) -> Lot:
    return replace(lot, operations=tuple(_spoiled(draw, step, lots, stations) for step in lot.operations))


def _spoiled(draw: random.Random, step: Operation, lots: Sequence[str], stations: Sequence[str]) -> Operation:
    changes: Changes = {
        "components": (0.15, tuple(draw.sample(lots, draw.randint(1, 2)))),
        "held": (0.05, draw.randint(1, 5)),
        "counted": (0.05, draw.randint(1, 5)),
        "stations": (0.1, tuple(draw.sample(stations, draw.randint(1, 3)))),
        "work_center": (0.03, "nowhere"),
        "split": (0.1, draw.randint(2, 5)),
        "tend_permille": (0.05, draw.choice([1500, 3000])),
        "not_before": (0.05, NotBefore(None, "bolts")),
        "waiting": (0.05, step.waiting + draw.randint(1, 60)),
        **_changes_of_taking(draw, step, stations),
    }
    taken = {name: value for name, (chance, value) in changes.items() if draw.random() < chance}
    return replace(step, **taken)


def _changes_of_taking(draw: random.Random, step: Operation, stations: Sequence[str]) -> Changes:
    match step.taking:
        case SinglePiece():
            return {"taking": (0.03, SinglePiece(0))}
        case Batch() as batch:
            bounds = {"max_weight_g": draw.choice([100, 500]), "max_pieces": draw.choice([1, 3, None])}
            return {"taking": (0.1, replace(batch, **bounds))}
        case LeadTime():
            job = OpenJob(draw.choice(stations), draw.randint(1, 5), NOW - draw.randint(0, 9 * DAY))
            return {"open_jobs": (0.5, (job,))}
        case _:
            return {}
