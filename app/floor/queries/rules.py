"""A lot's operations as the graduations of its rule."""

from typing import Any

from app.lots.models import Lot, LotOperation
from app.lots.queries.planned import planned_run_seconds

SHORTEST = 600
"""Seconds: work without a planned time still has its place on the rule."""


def graduations(lot: Lot) -> list[dict[str, Any]]:
    """Return a lot's operations, as long as their planned hours, filled as pieces pass."""
    return [_graduation(lot, each) for each in lot.operations if not each.skipped]


def _graduation(lot: Lot, operation: LotOperation) -> dict[str, Any]:
    seconds = operation.setup_seconds + planned_run_seconds(operation, lot.started, lot.revision.piece_grams)
    total = operation.present + operation.done
    return {
        "number": operation.number,
        "name": operation.title,
        "hours": max(seconds, SHORTEST) / 3600,
        "passed": operation.passed / total if total else 0,
        "held": operation.held / total if total else 0,
    }
