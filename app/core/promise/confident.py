"""When a new lot is done with some confidence, in its turn or before all others, and who pays for it."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace

from app.core.chances.simulation import Replayer, prepare, simulate
from app.core.chances.uncertainty import Uncertainty
from app.core.planning.forecasts import forecast
from app.core.planning.ranked import LotMove, lot_moves
from app.core.planning.results import Forecast
from app.core.planning.variations import FRONT
from app.core.shop import Lot, Shop


@dataclass(frozen=True, slots=True)
class Confident:
    """When a lot is done.

    Attributes:
        plain: by the forecast; None when it cannot be planned to its end.
        sure: by when it is finished in the wanted share of the replications; None when it is in fewer.
        late: the share in which it is late; None without a due date.
        moves: the lots whose finish is another one with it, those that become latest first.
    """

    plain: int | None
    sure: int | None
    late: float | None
    moves: tuple[LotMove, ...]


@dataclass(frozen=True, slots=True)
class Question:
    """A new lot: ``due`` is the second after which it is late, ``share`` the wanted confidence, up to 1."""

    lot: Lot
    due: int | None
    share: float


def in_turn_and_first(
    shop: Shop, uncertainty: Uncertainty, asked: Question, replayer: Replayer, *, seed: int, replications: int
) -> tuple[Confident, Confident]:
    """Return when the lot is done in its turn, by its due date, and when it goes to the front.

    Without a due date its turn is after all lots that are known; orders that nobody knows yet may still come before it
    only where they are due sooner.
    """
    without = forecast(shop, replayer.engine)

    def found(lot: Lot) -> Confident:
        with_it = replace(shop, lots=(*shop.lots, lot))
        lived = simulate(prepare(with_it, uncertainty, replayer), seed=seed, replications=replications)
        finishes = next((one.finishes for one in lived.lots if one.lot == lot.key), ())
        return _confident(shop, without, forecast(with_it, replayer.engine), asked, finishes, replications)

    last = max((lot.due for lot in shop.lots if lot.due is not None), default=shop.now) + 1
    turn = replace(asked.lot, due=last if asked.due is None else asked.due)
    return found(turn), found(replace(turn, pinned=FRONT))


def _confident(
    shop: Shop, without: Forecast, planned: Forecast, asked: Question, finishes: Sequence[int], replications: int
) -> Confident:
    place = max(1, -(-round(1000 * asked.share) * replications // 1000))
    on_time = 0 if asked.due is None else bisect_right(finishes, asked.due)
    return Confident(
        plain=planned.lots[asked.lot.key].finish,
        sure=finishes[place - 1] if place <= len(finishes) else None,
        late=None if asked.due is None else 1 - on_time / replications,
        moves=tuple(reversed(lot_moves(shop, without, planned))),
    )
