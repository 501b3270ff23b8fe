"""How lots and operations are called on pages and in messages."""

from app.core.scan_code import CodeKind, format_code
from app.lots.models import Lot, LotOperation
from app.shared.words import gettext


def lot_name(lot: Lot) -> str:
    """Return a lot's scan code, which is also its name: ``L00417D``."""
    return format_code(CodeKind.LOT, lot.number)


def operation_code(operation: LotOperation) -> str:
    """Return an operation's scan code."""
    return format_code(CodeKind.OPERATION, operation.code_number)


def operation_name(operation: LotOperation) -> str:
    """Return ``lot L00417D op 20 Mill``."""
    return gettext(
        "lot %(lot)s op %(number)s %(title)s",
        lot=lot_name(operation.lot),
        number=operation.number,
        title=operation.title,
    ).strip()
