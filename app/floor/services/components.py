"""Components that go into a lot at a station."""

from sqlalchemy import orm

from app.core.scan_code import CodeKind
from app.floor import queries
from app.floor.services.sent import Sent, working
from app.lots import services as ledger
from app.lots.errors import NotAComponentError
from app.lots.models import Posting
from app.lots.queries.names import operation_name
from app.lots.services import ComponentSource
from app.shared.codes import read_code


def component_source(session: orm.Session, operation_id: int, text: str) -> ComponentSource:
    """Return what a scanned code says components come from.

    Raises:
        CodeRefusedError, NotFoundError: the code cannot be read, or nothing has it.
        NotAComponentError: it is neither a lot's nor a receipt's code.
    """
    code = read_code(text)
    if code.kind is CodeKind.LOT:
        return ComponentSource(lot_id=queries.lot_by_number(session, code).id)
    if code.kind is CodeKind.RECEIPT:
        return ComponentSource(receipt_id=queries.receipt_by_number(session, code).id)
    raise NotAComponentError(str(code), operation_name(queries.operation_at(session, operation_id)))


def add_component(session: orm.Session, sent: Sent, operation_id: int, text: str, pieces: int) -> Posting:
    """Record components, from the lot or receipt whose code was scanned, that go into a lot at an operation.

    Raises:
        NobodySignedOnError: nobody is signed on.
        CodeRefusedError, NotFoundError: the code cannot be read, or nothing has it.
        PlainError: what was scanned does not go into it, or has fewer pieces.
    """
    source = component_source(session, operation_id, text)
    with working(session, sent) as act:
        return ledger.use_component(session, act, operation_id, source, pieces)
