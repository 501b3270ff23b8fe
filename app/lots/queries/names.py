"""How lots and operations are called on pages and in messages."""

from app.core.scan_code import CodeKind, format_code
from app.lots.models import Lot, LotOperation
from app.parts.models import Taking
from app.shared.words import duration, gettext, ngettext


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


def way_words(operation: LotOperation) -> str:
    """Say how an operation is divided over stations and sends pieces ahead; empty where it does neither."""
    ways = []
    if operation.split_over > 1:
        ways.append(gettext("split over %(stations)s stations", stations=operation.split_over))
    if operation.send_ahead:
        ways.append(
            ngettext("%(num)s piece goes ahead at a time", "%(num)s pieces go ahead at a time", operation.send_ahead)
        )
    return ", ".join(ways)


def cycle_words(operation: LotOperation) -> str:
    """Say how an operation takes pieces and how long one cycle lasts: ``4 min for a load of 6``."""
    time = duration(-(-operation.cycle_ms // 1000))
    match operation.taking:
        case Taking.LOAD:
            return gettext("%(time)s for a load of %(pieces)s", time=time, pieces=operation.load_pieces)
        case Taking.BATCH:
            return gettext("%(time)s for a batch of at most %(pieces)s", time=time, pieces=operation.load_pieces)
        case Taking.BAR:
            return gettext("%(time)s a piece, %(pieces)s from a bar", time=time, pieces=operation.load_pieces)
        case _:
            return gettext("%(time)s a piece", time=time)
