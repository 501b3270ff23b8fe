"""The verbs of purchasing."""

from app.purchasing.services.expected import move_expected
from app.purchasing.services.inputs import BlankLine, BlankOrder, Share
from app.purchasing.services.issue import issue_receipt
from app.purchasing.services.order import order_blanks

__all__ = ["BlankLine", "BlankOrder", "Share", "issue_receipt", "move_expected", "order_blanks"]
