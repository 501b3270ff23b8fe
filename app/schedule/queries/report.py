"""The forecast of all open lots for the terminal, computed afresh."""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import orm

from app.schedule.models import LotForecast
from app.schedule.queries.compute import compute_now, lot_rows
from app.schedule.queries.whys import why
from app.shared.words import use_zone
from app.stations import queries as station_queries


def forecast_report(session: orm.Session, now: datetime) -> list[dict[str, Any]]:
    """Return ``lot, due, expected_finish, slack_seconds, late, reasons`` of each open lot, in the order of ranks.

    Times are ISO 8601 on the shop's wall clock; what is not known is None. Needs an application context for its words.

    Raises:
        NoShopError: the shop is not set up yet.
    """
    computed = compute_now(session, now)
    zone = station_queries.shop_zone(session)
    use_zone(zone)
    return [_line(key, row, zone) for key, row in zip(computed.forecast.lots, lot_rows(computed), strict=True)]


def _line(key: str, row: LotForecast, zone: ZoneInfo) -> dict[str, Any]:
    return {
        "lot": key,
        "due": row.due_at.astimezone(zone).isoformat() if row.due_at else None,
        "expected_finish": row.finish_at.astimezone(zone).isoformat() if row.finish_at else None,
        "slack_seconds": row.slack_seconds,
        "late": row.late,
        "reasons": why(row),
    }
