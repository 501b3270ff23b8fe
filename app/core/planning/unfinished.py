"""Lots known never to be finished: something stands in their way, or they wait for such a lot, or in a loop."""

from collections.abc import Mapping

from app.core.planning.obstacles import Obstacle, ObstacleKind
from app.core.planning.packer import Packer
from app.core.shop import Operation


def never_finished(packer: Packer) -> dict[str, list[str]]:
    """Return the keys of those lots, each with those among them that it waits for; none where nobody waits for any."""
    keys = {lot.key for lot in packer.lots}
    waits = {key: [each for each in needed if each in keys] for key, needed in packer.waits.items()}
    unhindered = {lot.key for lot, troubles in zip(packer.lots, packer.troubles, strict=True) if not troubles}
    finished = unhindered - waits.keys()
    left = unhindered & waits.keys()
    while more := {key for key in left if finished.issuperset(waits[key])}:
        finished |= more
        left -= more
    never = {key: [each for each in waits.get(key, ()) if each not in finished] for key in keys - finished}
    return never if any(never.values()) else {}


def waited_for(packer: Packer, lot_key: str, operation: Operation) -> Obstacle | None:
    """Return which lots that are never finished an operation waits for, if any: those of a loop where there is one."""
    waited = [key for key in operation.components if key in packer.never]
    if not waited:
        return None
    loop = _loop(packer.never, lot_key, waited)
    if loop:
        first = loop.index(next(lot.key for lot in packer.lots if lot.key in loop))  # so that all of them tell the same
        told = ", ".join(loop[first:] + loop[:first])
        return Obstacle(ObstacleKind.LOTS_IN_A_LOOP, operation.key, told, number=len(loop))
    return Obstacle(ObstacleKind.LOT_NOT_FINISHED, operation.key, ", ".join(waited))


def _loop(never: Mapping[str, list[str]], lot_key: str, waited: list[str]) -> list[str]:
    """Return the shortest loop from a lot by way of one that it waits for; it is empty without one."""
    before = dict.fromkeys(waited, lot_key)
    for key in (left := list(before)):  # grows while it is gone through
        if key == lot_key:
            loop = [lot_key]
            while before[loop[0]] != lot_key:
                loop.insert(0, before[loop[0]])
            return [lot_key, *loop[:-1]]
        for other in never[key]:
            if other not in before:
                before[other] = key
                left.append(other)
    return []
