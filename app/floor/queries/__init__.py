"""The reads of the floor area."""

from app.floor.queries.behind import Behind, OtherStation, SentAway, behind
from app.floor.queries.boards import Board, board
from app.floor.queries.entries import RecentEntry, get_entry, recent_entries
from app.floor.queries.forgotten import Forgotten, forgotten, forgotten_at, furthest_passed
from app.floor.queries.frames import Frame, frame
from app.floor.queries.hand_over import HandOver, hand_over, lot_notes, station_notes
from app.floor.queries.hands import Call, PersonPage, person_page
from app.floor.queries.jobs import ComponentNeed, OpenJob, OpenWork, component_needs, open_work
from app.floor.queries.loads import SharedLoad, load_candidates, shared_load
from app.floor.queries.lookups import (
    fitting_operation,
    kept_posting,
    lot_by_number,
    operation_at,
    operation_by_number,
    receipt_by_number,
)
from app.floor.queries.measuring import MeasuredJob, MeasuringPage, measured_jobs, measuring_page
from app.floor.queries.paper import PaperOperation, paper_lot
from app.floor.queries.queue import QueueRow, queue_of
from app.floor.queries.rules import graduations
from app.floor.queries.set_ups import needs_setup
from app.floor.queries.sheets import sheets_of
from app.floor.queries.signed_on import Acting, idle_time, just_taken_over, signed_on, who_acts
from app.floor.queries.supplies import ComponentSupply, supplies_of
from app.floor.queries.tiles import Tile, station_tiles
from app.floor.queries.upkeep import ServiceRow, UpkeepPage, upkeep_page
from app.floor.queries.weights import Load, load_of, units_of

__all__ = [
    "Acting",
    "Behind",
    "Board",
    "Call",
    "ComponentNeed",
    "ComponentSupply",
    "Forgotten",
    "Frame",
    "HandOver",
    "Load",
    "MeasuredJob",
    "MeasuringPage",
    "OpenJob",
    "OpenWork",
    "OtherStation",
    "PaperOperation",
    "PersonPage",
    "QueueRow",
    "RecentEntry",
    "SentAway",
    "ServiceRow",
    "SharedLoad",
    "Tile",
    "UpkeepPage",
    "behind",
    "board",
    "component_needs",
    "fitting_operation",
    "forgotten",
    "forgotten_at",
    "frame",
    "furthest_passed",
    "get_entry",
    "graduations",
    "hand_over",
    "idle_time",
    "just_taken_over",
    "kept_posting",
    "load_candidates",
    "load_of",
    "lot_by_number",
    "lot_notes",
    "measured_jobs",
    "measuring_page",
    "needs_setup",
    "open_work",
    "operation_at",
    "operation_by_number",
    "paper_lot",
    "person_page",
    "queue_of",
    "receipt_by_number",
    "recent_entries",
    "shared_load",
    "sheets_of",
    "signed_on",
    "station_notes",
    "station_tiles",
    "supplies_of",
    "units_of",
    "upkeep_page",
    "who_acts",
]
