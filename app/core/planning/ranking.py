"""Who goes first: the priority of every operation."""

from bisect import bisect_right

from app.core.planning.packing import Packing


def planned_order(packing: Packing) -> list[int]:
    """Return all operations by rank.

    Pinned lots go first. Of the others, operations with a rank keep its order; those of a lot that the plan does not
    know enter behind as many of them as belong to lots which would come before it without a plan.
    """
    pinned, ranked, new = [], [], []
    for op, (lot, index) in enumerate(packing.operations):
        place = packing.lots[lot].operations[index].rank
        if packing.lots[lot].pinned is not None:
            pinned.append(op)
        elif place is None:
            new.append(op)
        else:
            ranked.append((place, op))
    ranked.sort()
    lots = sorted(packing.operations[op][0] for _, op in ranked)
    merged = [(place, 1, op) for place, (_, op) in enumerate(ranked)]
    merged += [(bisect_right(lots, packing.operations[op][0]), 0, op) for op in new]
    return pinned + [op for _, _, op in sorted(merged)]
