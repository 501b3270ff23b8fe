"""Reads of what to order, for which lots, and what is on its way."""

from app.purchasing.queries.articles import Article, Key, articles
from app.purchasing.queries.chase import (
    OnOrder,
    ToChase,
    expected_changes,
    lines_on_order,
    material_to_chase,
    what_of,
)
from app.purchasing.queries.cover import Coming, Need, Supply, cover, lot_rank
from app.purchasing.queries.issues import Proposal, Proposals, issue_proposals, receipts_to_issue
from app.purchasing.queries.needs import Wanted, needs_of, wanted_articles
from app.purchasing.queries.orders import Named, ProposedLine, ProposedOrder, lead_days, named_rows, proposed_order
from app.purchasing.queries.page import BuyingPage, buying_page
from app.purchasing.queries.serves import Served, served_by_order, served_by_receipt
from app.purchasing.queries.to_order import ToOrder, material_to_order

__all__ = [
    "Article",
    "BuyingPage",
    "Coming",
    "Key",
    "Named",
    "Need",
    "OnOrder",
    "Proposal",
    "Proposals",
    "ProposedLine",
    "ProposedOrder",
    "Served",
    "Supply",
    "ToChase",
    "ToOrder",
    "Wanted",
    "articles",
    "buying_page",
    "cover",
    "expected_changes",
    "issue_proposals",
    "lead_days",
    "lines_on_order",
    "lot_rank",
    "material_to_chase",
    "material_to_order",
    "named_rows",
    "needs_of",
    "proposed_order",
    "receipts_to_issue",
    "served_by_order",
    "served_by_receipt",
    "wanted_articles",
    "what_of",
]
