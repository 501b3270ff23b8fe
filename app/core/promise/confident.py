"""When a new lot is done with some confidence, in its turn or before all others, and who pays for it."""

from bisect import bisect_right
from dataclasses import dataclass, replace

from app.core.chances.simulation import Replayer, prepare, simulate
from app.core.chances.uncertainty import Uncertainty
from app.core.planning.decoding import Engine
from app.core.planning.forecasts import forecast
from app.core.planning.obstacles import Obstacle
from app.core.planning.ranked import LotMove, lot_moves
from app.core.planning.variations import FRONT
from app.core.shop import Lot, Shop


@dataclass(frozen=True, slots=True)
class Question:
    """A new lot: ``due`` is the second after which it is late, ``share`` the wanted confidence, up to 1."""

    lot: Lot
    due: int | None
    share: float


@dataclass(frozen=True, slots=True)
class Planned:
    """Where a lot would go, and when it is done by the forecast.

    Attributes:
        shop: the shop with the lot in it.
        finish: when it is done; None when it cannot be planned to its end.
        obstacle: why not.
        moves: the lots whose finish is another one with it, those that become latest first.
    """

    shop: Shop
    finish: int | None
    obstacle: Obstacle | None
    moves: tuple[LotMove, ...]


@dataclass(frozen=True, slots=True)
class Confident:
    """How sure a lot is to be done.

    Attributes:
        sure: by when it is finished in the wanted share of the replications; None when it is in fewer.
        late: the share in which it is late; None without a due date.
    """

    sure: int | None
    late: float | None


def in_turn_and_first(shop: Shop, asked: Question, engine: Engine) -> tuple[Planned, Planned]:
    """Return when the lot is done by the forecast in its turn, by its due date, and when it goes to the front.

    Without a due date its turn is after all lots that are known; orders that nobody knows yet may still come before it
    only where they are due sooner.
    """
    without = forecast(shop, engine)

    def planned(lot: Lot) -> Planned:
        with_it = replace(shop, lots=(*shop.lots, lot))
        found = forecast(with_it, engine)
        own, moves = found.lots[lot.key], tuple(reversed(lot_moves(shop, without, found)))
        return Planned(with_it, own.finish, own.obstacle, moves)

    last = max((lot.due for lot in shop.lots if lot.due is not None), default=shop.now) + 1
    turn = replace(asked.lot, due=last if asked.due is None else asked.due)
    return planned(turn), planned(replace(turn, pinned=FRONT))


def lived_through(
    planned: Planned, uncertainty: Uncertainty, asked: Question, replayer: Replayer, *, seed: int, replications: int
) -> Confident:
    """Return how sure a planned lot is to be done, by so many replications."""
    lived = simulate(prepare(planned.shop, uncertainty, replayer), seed=seed, replications=replications)
    finishes = next((one.finishes for one in lived.lots if one.lot == asked.lot.key), ())
    place = max(1, -(-round(1000 * asked.share) * replications // 1000))
    on_time = 0 if asked.due is None else bisect_right(finishes, asked.due)
    return Confident(
        sure=finishes[place - 1] if place <= len(finishes) else None,
        late=None if asked.due is None else 1 - on_time / replications,
    )
