"""What fits into a batch."""

from dataclasses import dataclass

from app.core.shop import Batch, Taking


def batch_room(taking: Batch) -> int | None:
    """Return how many pieces of one lot fit into a batch; None when nothing bounds it."""
    bounds = [] if taking.max_pieces is None else [taking.max_pieces]
    if taking.max_weight_g is not None:
        bounds.append(taking.max_weight_g // taking.piece_weight_g)
    return min(bounds, default=None)


def fitting(taking: Taking, pieces: int) -> int:
    """Return how many of ``pieces`` one run takes: all, but for a batch only what it has room for."""
    room = batch_room(taking) if isinstance(taking, Batch) else None
    return pieces if room is None else min(pieces, room)


@dataclass(frozen=True, slots=True)
class BatchLoad:
    """What is in a batch; the strictest bounds of the lots in it hold for all."""

    recipe: str
    time_ms: int
    pieces: int
    weight_g: int
    max_pieces: int | None
    max_weight_g: int | None

    @classmethod
    def of(cls, taking: Batch, pieces: int) -> "BatchLoad":
        """Return a batch of pieces of one lot."""
        weight_g = pieces * taking.piece_weight_g
        return cls(taking.recipe, taking.time_ms, pieces, weight_g, taking.max_pieces, taking.max_weight_g)

    @property
    def full(self) -> bool:
        """Whether surely nothing more fits."""
        return self.pieces == self.max_pieces or self.weight_g == self.max_weight_g

    def with_more(self, taking: Taking, pieces: int) -> "BatchLoad | None":
        """Return the batch with pieces of another lot in it; None when they do not fit or belong to another recipe."""
        if not isinstance(taking, Batch) or (taking.recipe, taking.time_ms) != (self.recipe, self.time_ms):
            return None
        more = BatchLoad(
            self.recipe,
            self.time_ms,
            self.pieces + pieces,
            self.weight_g + pieces * taking.piece_weight_g,
            _stricter(self.max_pieces, taking.max_pieces),
            _stricter(self.max_weight_g, taking.max_weight_g),
        )
        return None if _exceeds(more.pieces, more.max_pieces) or _exceeds(more.weight_g, more.max_weight_g) else more


def _stricter(bound: int | None, other: int | None) -> int | None:
    """Return the lower of two bounds, either of which may be missing."""
    if bound is None or other is None:
        return other if bound is None else bound
    return min(bound, other)


def _exceeds(amount: int, bound: int | None) -> bool:
    """Tell whether an amount is beyond a bound that may be missing."""
    return bound is not None and amount > bound
