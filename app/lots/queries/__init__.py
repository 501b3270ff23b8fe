"""Reads of lots, jobs and the ledger."""

from app.lots.queries.demands import ComponentDemand, ComponentLot, component_demands, component_lots
from app.lots.queries.lots import (
    LotStory,
    OperationStory,
    Shown,
    get_lot,
    last_print,
    ledger_of,
    lot_number,
    lot_rule,
    lot_story,
    lots_of_order,
    lots_page,
    person_names,
)
from app.lots.queries.names import cycle_words, lot_name, operation_code, operation_name
from app.lots.queries.release import (
    OpenDelivery,
    Proposal,
    ReleaseSubject,
    covered_pieces,
    propose_start,
    release_subject,
    shown_percent,
    start_of,
)
from app.lots.queries.traveler import TravelerStory, printed_address, shop_units, traveler

__all__ = [
    "ComponentDemand",
    "ComponentLot",
    "LotStory",
    "OpenDelivery",
    "OperationStory",
    "Proposal",
    "ReleaseSubject",
    "Shown",
    "TravelerStory",
    "component_demands",
    "component_lots",
    "covered_pieces",
    "cycle_words",
    "get_lot",
    "last_print",
    "ledger_of",
    "lot_name",
    "lot_number",
    "lot_rule",
    "lot_story",
    "lots_of_order",
    "lots_page",
    "operation_code",
    "operation_name",
    "person_names",
    "printed_address",
    "propose_start",
    "release_subject",
    "shop_units",
    "shown_percent",
    "start_of",
    "traveler",
]
