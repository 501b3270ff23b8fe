"""What would help: each remedy is tried by planning the shop anew with it, for a late lot or for the whole board."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from app.core.planning.decoding import PLAIN, Engine
from app.core.planning.forecasts import forecast
from app.core.planning.helping import Help, Step, applied, steps
from app.core.planning.ranked import LotMove, lateness, lot_moves, weighted_lateness
from app.core.planning.results import Forecast
from app.core.planning.variations import blanks_of
from app.core.shop import Lot, Shop

HOUR_S: Final = 3600
LOTS_TRIED: Final = 12
"""For the whole board steps are tried for so many of the late lots: those that are latest."""
LEAST_SAVED_S: Final = 1800
"""Less late time saved over the whole board is not worth telling."""


@dataclass(frozen=True, slots=True)
class Remedy:
    """A step and what comes of it.

    Attributes:
        step: what is done.
        finish: when the lot that was asked about is then finished; None for the whole board.
        saved_s: seconds that this lot is less late, or all lots together with what some lose taken off.
        others_s: seconds that other lots are later past their due times, taken together: for a lot those of all
            others, below zero when they gain; for the board those of the lots that lose.
        total_s: weighted seconds past due that the whole shop saves.
        winners: the lots that are less late past their due times, those that gain most first.
        losers: the lots that get later past their due times, the worst first.
    """

    step: Step
    finish: int | None
    saved_s: int
    others_s: int
    total_s: int
    winners: tuple[LotMove, ...]
    losers: tuple[LotMove, ...]


def remedies(shop: Shop, key: str, engine: Engine = PLAIN) -> list[Remedy]:
    """Return what makes a lot less late, the most saved hours first, of equals what costs others least.

    What leaves a lot, this one or another, that cannot be planned to its end any more is none.

    Raises:
        KeyError: there is no such lot.
    """
    before = forecast(shop, engine)
    lot = next(lot for lot in shop.lots if lot.key == key)
    found = (_for_lot(shop, before, lot, step, engine) for step in steps(shop, before.lots[key], lot))
    helping = (remedy for remedy in found if remedy is not None and remedy.saved_s > 0)
    return sorted(helping, key=lambda remedy: (-(remedy.saved_s // HOUR_S), remedy.others_s))


def board_remedies(shop: Shop, engine: Engine = PLAIN) -> list[Remedy]:
    """Return what makes the lots of a shop less late taken together, the most saved first, then what costs least.

    Each step that could help one of the late lots is tried once; those that save less than half an hour over
    all lots, or after which a lot cannot be planned to its end any more, are left out.
    """
    before = forecast(shop, engine)
    found = (_for_board(shop, before, step, engine) for step in _steps_of_all(shop, before))
    helping = (remedy for remedy in found if remedy is not None and remedy.saved_s >= LEAST_SAVED_S)
    return sorted(helping, key=lambda remedy: (-(remedy.saved_s // HOUR_S), remedy.others_s))


def _steps_of_all(shop: Shop, before: Forecast) -> Iterable[Step]:
    """Return the steps for the lots that are latest, each once; what comes in one purchase comes sooner for all."""
    late = [(lateness(before.lots[lot.key].finish, lot.due), lot) for lot in shop.lots]
    worst = sorted((pair for pair in late if pair[0]), key=lambda pair: (-pair[0], pair[1].key))
    found: dict[object, Step] = {}
    for _, lot in worst[:LOTS_TRIED]:
        for step in steps(shop, before.lots[lot.key], lot):
            found.setdefault(_moved_by(shop, step), step)
    return found.values()


def _moved_by(shop: Shop, step: Step) -> object:
    """Return what is the same for steps that do the same: the purchases that would come sooner, else the step."""
    if step.help is not Help.BLANKS:
        return step
    orders = frozenset(each.order for each in blanks_of(shop, step.lot))
    return orders if all(orders) else step


def _for_lot(shop: Shop, before: Forecast, lot: Lot, step: Step, engine: Engine) -> Remedy | None:
    """Return what a step comes to for one lot; None where that, or one that could be, cannot be planned with it."""
    after = forecast(applied(shop, step), engine)
    finish = after.lots[lot.key].finish
    if finish is None or _loses_a_finish(before, after):
        return None
    moves = [move for move in lot_moves(shop, before, after) if move.lot != lot.key]
    return Remedy(
        step=step,
        finish=finish,
        saved_s=lateness(before.lots[lot.key].finish, lot.due) - lateness(finish, lot.due),
        others_s=-sum(move.gain_s for move in moves),
        total_s=weighted_lateness(shop, before) - weighted_lateness(shop, after),
        winners=_winners(moves),
        losers=_losers(moves),
    )


def _for_board(shop: Shop, before: Forecast, step: Step, engine: Engine) -> Remedy | None:
    """Return what a step comes to for all lots; None where one cannot be planned any more that could be."""
    after = forecast(applied(shop, step), engine)
    if _loses_a_finish(before, after):
        return None
    moves = lot_moves(shop, before, after)
    return Remedy(
        step=step,
        finish=None,
        saved_s=sum(move.gain_s for move in moves),
        others_s=-sum(move.gain_s for move in moves if move.gain_s < 0),
        total_s=weighted_lateness(shop, before) - weighted_lateness(shop, after),
        winners=_winners(moves),
        losers=_losers(moves),
    )


def _loses_a_finish(before: Forecast, after: Forecast) -> bool:
    """Tell whether a lot cannot be planned to its end any more that could be; due or not, no gain is worth that."""
    return any(after.lots[key].finish is None for key, planned in before.lots.items() if planned.finish is not None)


def _winners(moves: Iterable[LotMove]) -> tuple[LotMove, ...]:
    return tuple(move for move in moves if move.gain_s > 0)


def _losers(moves: Iterable[LotMove]) -> tuple[LotMove, ...]:
    return tuple(move for move in reversed(list(moves)) if move.gain_s < 0)
