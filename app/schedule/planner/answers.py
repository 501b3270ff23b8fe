"""How the planner answers: what it reads for each kind of question, and what it computes of it."""

from collections.abc import Callable, Sequence
from datetime import date
from typing import Any, Final

from sqlalchemy import orm

from app.core.chances.simulation import PLAIN_REPLAYER, Replayer
from app.core.chances.uncertainty import Uncertainty
from app.core.planning.ranked import LotMove
from app.core.promise import confident
from app.schedule import queries
from app.schedule.queries import Asked, Snapshot
from app.stations import queries as station_queries

SEED: Final = 20_261_127
REPLICATIONS: Final = 300
PLAIN_REPLICATIONS: Final = 40
NAMED: Final = 12
"""So many lots that pay are named."""


def replications(replayer: Replayer) -> int:
    """Return how many replications an answer takes: it should come within seconds."""
    return PLAIN_REPLICATIONS if replayer is PLAIN_REPLAYER else REPLICATIONS


def promise_answer(
    session: orm.Session, snapshot: Snapshot, uncertain: Callable[[], Uncertainty], asked: dict[str, Any]
) -> Callable[[Replayer], dict[str, Any]]:
    """Answer when an order could be finished with the confidence that the owner chose."""
    due = date.fromisoformat(asked["due"]) if asked["due"] else None
    wanted = queries.wanted_lot(session, snapshot.hours, Asked(asked["revision_id"], asked["quantity"], due))
    if isinstance(wanted, str):
        problem = wanted
        return lambda _replayer: {"problem": problem}
    percent = station_queries.shop(session).promise_percent
    latest = snapshot.hours.cutoff(due) if due else None
    question, known = confident.Question(wanted.lot, latest, percent / 100), uncertain()

    def compute(replayer: Replayer) -> dict[str, Any]:
        behind, before = confident.behind_and_before(
            snapshot.shop, known, question, replayer, seed=SEED, replications=replications(replayer)
        )
        return {
            "percent": percent,
            "behind": _confident(snapshot, behind),
            "front": _confident(snapshot, before),
        }

    return compute


def _confident(snapshot: Snapshot, found: confident.Confident) -> dict[str, Any]:
    """Return one of the two dates, with the lots that get later for it."""
    payers = [move for move in found.moves if (move.after or 0) > (move.before or 0)]
    return {
        "plain": found.plain,
        "sure": found.sure,
        "late_percent": None if found.late is None else round(100 * found.late),
        "payers": moves_of(snapshot, sorted(payers, key=lambda move: move.gain_s)[:NAMED]),
        "more": max(0, len(payers) - NAMED),
    }


def moves_of(snapshot: Snapshot, moves: Sequence[LotMove]) -> list[dict[str, Any]]:
    """Return moves as pages show them."""
    return [
        {
            "lot_id": snapshot.lots[move.lot].row.id,
            "name": move.lot,
            "before": move.before,
            "after": move.after,
            "gain_s": move.gain_s,
        }
        for move in moves
        if move.lot in snapshot.lots
    ]
