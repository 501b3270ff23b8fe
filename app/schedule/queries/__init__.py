"""The reads of the schedule: the shop as the core takes it, a forecast of it, and what was stored of the last one."""

from app.schedule.queries.better_order import OrderPage, asked_gain_s, moves_of, order_page, proposal_values
from app.schedule.queries.calibration import Calibration, Judged, calibration
from app.schedule.queries.chances import Chances, chance_rows, chance_run
from app.schedule.queries.compute import (
    Computed,
    compute,
    compute_now,
    lot_rows,
    run_values,
    service_rows,
    station_rows,
)
from app.schedule.queries.hands import JobTimes, job_times
from app.schedule.queries.history import History, read_history, uncertainty_of
from app.schedule.queries.hours import moment_of
from app.schedule.queries.loads import FULL, Load, load
from app.schedule.queries.obstacles import (
    Mend,
    awaits_order,
    mended_at,
    no_date_words,
    obstacle_words,
    stopped_at,
    stopped_until_mended,
)
from app.schedule.queries.outlooks import (
    LITTLE_SLACK,
    Age,
    LotPlan,
    Shown,
    Watched,
    age,
    latest,
    lot_outlooks,
    lot_plan,
    lots_page,
    watched,
)
from app.schedule.queries.promises import Asked, Outcome, Wanted, find_question, from_stock, promise_for, wanted_lot
from app.schedule.queries.remedies import in_one_step, remedy_words, what_if_words
from app.schedule.queries.report import forecast_report
from app.schedule.queries.snapshot import Snapshot, read_snapshot
from app.schedule.queries.stations import Queued, StationPlan, station_plan, station_plans, station_queue, today
from app.schedule.queries.turns import turn_of
from app.schedule.queries.upkeep import ServiceDue, services_due
from app.schedule.queries.whys import chain_words, turn_words, why

__all__ = [
    "FULL",
    "LITTLE_SLACK",
    "Age",
    "Asked",
    "Calibration",
    "Chances",
    "Computed",
    "History",
    "JobTimes",
    "Judged",
    "Load",
    "LotPlan",
    "Mend",
    "OrderPage",
    "Outcome",
    "Queued",
    "ServiceDue",
    "Shown",
    "Snapshot",
    "StationPlan",
    "Wanted",
    "Watched",
    "age",
    "asked_gain_s",
    "awaits_order",
    "calibration",
    "chain_words",
    "chance_rows",
    "chance_run",
    "compute",
    "compute_now",
    "find_question",
    "forecast_report",
    "from_stock",
    "in_one_step",
    "job_times",
    "latest",
    "load",
    "lot_outlooks",
    "lot_plan",
    "lot_rows",
    "lots_page",
    "mended_at",
    "moment_of",
    "moves_of",
    "no_date_words",
    "obstacle_words",
    "order_page",
    "promise_for",
    "proposal_values",
    "read_history",
    "read_snapshot",
    "remedy_words",
    "run_values",
    "service_rows",
    "services_due",
    "station_plan",
    "station_plans",
    "station_queue",
    "station_rows",
    "stopped_at",
    "stopped_until_mended",
    "today",
    "turn_of",
    "turn_words",
    "uncertainty_of",
    "wanted_lot",
    "watched",
    "what_if_words",
    "why",
]
