"""Moving a delivery to another revision of its part."""

from collections.abc import Iterator

from sqlalchemy import orm

from app.orders.errors import CalledOffError, LeftAsRevisionError, OtherPartError
from app.orders.models import Delivery, OrderLine
from app.orders.queries import get_order
from app.parts.models import Revision
from app.shared.errors import Problem


def revision_problems(session: orm.Session, delivery: Delivery, revision_id: int) -> Iterator[Problem]:
    """Give what keeps a delivery from moving to another revision; nothing where it is of that one."""
    line = delivery.line
    if revision_id == line.revision_id:
        return
    revision = session.get(Revision, revision_id)
    if revision is None or revision.part_id != line.revision.part_id:
        yield Problem("revision_id", OtherPartError(line.revision.part.number))
    elif delivery.shipped:
        yield Problem("revision_id", LeftAsRevisionError(delivery.shipped, line.revision.label))
    elif line.standing_quantity is not None and len(line.deliveries) > 1:
        yield Problem("revision_id", CalledOffError(line.number))


def move_to_revision(session: orm.Session, delivery: Delivery, line: OrderLine, revision_id: int) -> None:
    """Move a delivery to another revision; lots that were released for it keep theirs.

    A line's only delivery takes the line with it. One of several goes to a line of that revision at the same price,
    which is made where the order has none.
    """
    if revision_id == line.revision_id:
        return
    if len(line.deliveries) == 1:
        line.revision = session.get_one(Revision, revision_id)
        session.flush()
        return
    order = get_order(session, line.order_id)
    delivery.line = next(
        (each for each in order.lines if (each.revision_id, each.price) == (revision_id, line.price)), None
    ) or _line_like(session, line, revision_id, number=order.lines[-1].number + 1)
    session.flush()


def _line_like(session: orm.Session, line: OrderLine, revision_id: int, number: int) -> OrderLine:
    made = OrderLine(
        order_id=line.order_id,
        number=number,
        revision=session.get_one(Revision, revision_id),
        price=line.price,
        rush=line.rush,
        rush_by_id=line.rush_by_id,
        rush_at=line.rush_at,
    )
    session.add(made)
    session.flush()
    session.refresh(made, ["order"])
    return made
