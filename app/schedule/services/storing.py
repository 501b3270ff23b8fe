"""Storing a forecast: the old one is replaced in one short write."""

from typing import Final

import sqlalchemy as sa
from sqlalchemy import orm

from app.schedule.models import Forecast, LotForecast, PlannedRun, ServiceForecast, StationForecast
from app.schedule.queries import Computed, lot_rows, run_values, service_rows, station_rows
from app.shared.database import lock_row, transaction
from app.shared.lease import still_holds

PLANNER: Final = "planner"
"""The lease of the process that computes forecasts."""
ONLY_ROW: Final = 1


def store_forecast(session: orm.Session, computed: Computed, *, holder: str, took_ms: int) -> bool:
    """Keep a forecast in place of the one before; say whether it was kept.

    It is not where another planner holds the lease by now, or where the stored one is of a later state of the shop.
    """
    rows = [*lot_rows(computed), *station_rows(computed), *service_rows(computed)]
    runs = run_values(computed)
    with transaction(session):
        if not still_holds(session, PLANNER, holder):
            return False
        stored = lock_row(session, Forecast, ONLY_ROW)
        if stored is not None and stored.change_number > computed.snapshot.change_number:
            return False
        for table in (LotForecast, PlannedRun, StationForecast, ServiceForecast):
            session.execute(sa.delete(table))
        session.add_all(rows)
        if runs:
            session.execute(sa.insert(PlannedRun), runs)
        _note(session, stored, computed, took_ms)
    return True


def _note(session: orm.Session, stored: Forecast | None, computed: Computed, took_ms: int) -> None:
    row = stored or Forecast(id=ONLY_ROW)
    row.change_number = computed.snapshot.change_number
    row.computed_at = computed.snapshot.now
    row.took_ms = took_ms
    session.add(row)
