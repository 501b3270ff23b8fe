"""Loads of a machine: what one holds of an operation, which load of a lot runs, and how several lots share one."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from app.lots.models import LotOperation
from app.lots.queries.planned import batch_pieces
from app.parts.models import Taking

SHARED = frozenset({Taking.LOAD, Taking.BATCH})
"""The ways of taking pieces in which several lots can go together."""


@dataclass(frozen=True, slots=True)
class LoadCount:
    """Which load of a lot runs at an operation, how many there are in all, and how many pieces are in it."""

    number: int
    of: int
    pieces: int


def one_load(operation: LotOperation) -> int:
    """Return how many pieces of the lot alone one load of the operation holds."""
    if operation.taking is Taking.BATCH:
        return batch_pieces(operation, operation.lot.revision.piece_grams)
    return operation.load_pieces


def load_count(operation: LotOperation, here: int | None = None) -> LoadCount | None:
    """Return which load of a lot that is larger than one runs now; None where it takes no loads or fits one.

    What was signed off has left the machine, so that the next load is a full one; counted pieces are still in theirs.
    ``here``: the pieces of it that are in work at the station; all that are in work where it is left out.
    """
    if operation.taking not in SHARED:
        return None
    most = one_load(operation)
    done = -(-operation.done // most)
    counted, in_this = divmod(operation.counted, most)
    number = done + counted + 1
    of = number - 1 + -(-(in_this + operation.waiting + operation.in_work) // most)
    pieces = min(most - in_this, operation.in_work if here is None else here)
    return LoadCount(number, max(number, of), pieces) if of > 1 else None


def share_of(operation: LotOperation, pieces: int) -> Fraction:
    """Return which share of a load some pieces fill: of its places on a pallet, of pieces or weight in a batch."""
    share = Fraction(pieces, operation.load_pieces)
    grams = operation.lot.revision.piece_grams
    if operation.taking is Taking.BATCH and operation.batch_grams and grams:
        return max(share, Fraction(pieces * grams, operation.batch_grams))
    return share


def proposed_shares(operations: Sequence[LotOperation]) -> list[int]:
    """Return how many pieces of each lot go into one load: of a batch in turn, of a pallet an even part, then the rest.

    What finds no room is left out, with 0 where not one piece of a lot does.
    """
    taken = [0] * len(operations)
    if operations and operations[0].taking is Taking.LOAD:
        even = Fraction(1, len(operations))
        taken = [min(each.waiting, int(even * each.load_pieces)) for each in operations]
    for place, each in enumerate(operations):
        taken[place] += _more(operations, taken, place, each)
    return taken


def _more(operations: Sequence[LotOperation], taken: Sequence[int], place: int, operation: LotOperation) -> int:
    room = min(_room(operations, taken, operation), Fraction(operation.waiting - taken[place]))
    return max(0, int(room))


def _room(operations: Sequence[LotOperation], taken: Sequence[int], operation: LotOperation) -> Fraction:
    """Return how many more pieces of an operation a load takes in which some are already."""
    if operation.taking is Taking.LOAD:
        full = sum((share_of(each, count) for each, count in zip(operations, taken, strict=True)), Fraction(0))
        return (1 - full) * operation.load_pieces
    room = Fraction(min(each.load_pieces for each in operations) - sum(taken))
    grams, bound = operation.lot.revision.piece_grams, weight_bound(operations)
    if bound and grams:
        room = min(room, Fraction(bound - grams_of(operations, taken), grams))
    return room


def weight_bound(operations: Sequence[LotOperation]) -> int:
    """Return the grams that a batch of some operations holds at most; 0: not bounded."""
    return min((each.batch_grams for each in operations if each.batch_grams), default=0)


def grams_of(operations: Sequence[LotOperation], taken: Sequence[int]) -> int:
    """Return what the pieces of a load weigh together."""
    return sum(each.lot.revision.piece_grams * count for each, count in zip(operations, taken, strict=True))


def full_share(operations: Sequence[LotOperation], taken: Sequence[int]) -> Fraction:
    """Return how full a load is; over 1: more than it holds."""
    if operations[0].taking is Taking.LOAD:
        return sum((share_of(each, count) for each, count in zip(operations, taken, strict=True)), Fraction(0))
    share = Fraction(sum(taken), min(each.load_pieces for each in operations))
    bound = weight_bound(operations)
    return max(share, Fraction(grams_of(operations, taken), bound)) if bound else share
