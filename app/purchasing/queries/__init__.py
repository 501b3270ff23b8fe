"""Reads of what to order, for which lots, and what is on its way."""

from app.purchasing.queries.blanks import ToOrder, blank_needs, blanks_to_order, last_purchases, to_order
from app.purchasing.queries.chase import (
    OnOrder,
    ToChase,
    blanks_to_chase,
    expected_changes,
    lines_on_order,
    what_of,
)
from app.purchasing.queries.cover import Coming, Need, Supply, cover, lot_rank
from app.purchasing.queries.issues import Proposal, Proposals, issue_proposals, receipts_to_issue
from app.purchasing.queries.orders import Named, ProposedLine, ProposedOrder, named_rows, proposed_order
from app.purchasing.queries.page import BlanksPage, blanks_page

__all__ = [
    "BlanksPage",
    "Coming",
    "Named",
    "Need",
    "OnOrder",
    "Proposal",
    "Proposals",
    "ProposedLine",
    "ProposedOrder",
    "Supply",
    "ToChase",
    "ToOrder",
    "blank_needs",
    "blanks_page",
    "blanks_to_chase",
    "blanks_to_order",
    "cover",
    "expected_changes",
    "issue_proposals",
    "last_purchases",
    "lines_on_order",
    "lot_rank",
    "named_rows",
    "proposed_order",
    "receipts_to_issue",
    "to_order",
    "what_of",
]
