"""How an operation of one lot is done otherwise than its routing says: over several stations, or sent ahead."""

from dataclasses import dataclass
from typing import Final

from sqlalchemy import orm

from app.lots.errors import ChangeError
from app.lots.models import Lot, LotOperation, Posting
from app.lots.queries.names import operation_name, way_words
from app.lots.queries.sendings import still_to_do
from app.lots.services.acts import Act
from app.lots.services.changes import change_lot, operation_of
from app.parts.models import KindRole, Taking
from app.shared.words import gettext

MOST_STATIONS: Final = 9


@dataclass(frozen=True, slots=True)
class Way:
    """Over how many stations pieces are divided, and how many go ahead at a time; 0: all go on at the end."""

    stations: int = 1
    ahead: int = 0


def change_way(session: orm.Session, act: Act, lot_id: int, operation_id: int, way: Way) -> Posting:
    """Divide an operation of a lot over stations of its work center, or have its pieces go on before all are done.

    The forecast plans it so, and stations propose an even part of the pieces. Pieces stay where they are.

    Raises:
        ReasonMissingError: no reason is given (``act.note``).
        ChangeError: it is not done at stations, has not so many, goes to one only, or nothing of it is left to do.
        OperationNotFoundError: it is not one of the lot's.
    """

    def change(lot: Lot) -> tuple[LotOperation, str]:
        operation = operation_of(lot, operation_id)
        _check(operation, way)
        operation.split_over, operation.send_ahead = way.stations, way.ahead
        said = way_words(operation) or gettext("at one station, all pieces go on at its end")
        return operation, gettext(
            "op %(number)s %(title)s: %(way)s", number=operation.number, title=operation.title, way=said
        )

    content = {"way": operation_id, "stations": way.stations, "ahead": way.ahead}
    return change_lot(session, act, lot_id, content, change)


def _check(operation: LotOperation, way: Way) -> None:
    name = operation_name(operation)
    at_stations = operation.kind.role is KindRole.STATION and operation.taking is not Taking.LEAD_TIME
    if not at_stations or operation.work_center is None:
        raise ChangeError(gettext("%(name)s is not done at stations of the shop.", name=name))
    if not still_to_do(operation):
        raise ChangeError(gettext("No piece will come to %(name)s any more.", name=name))
    if (operation.split_over, operation.send_ahead) == (way.stations, way.ahead):
        raise ChangeError(gettext("%(name)s is done so already.", name=name))
    _check_stations(operation, way, name)


def _check_stations(operation: LotOperation, way: Way, name: str) -> None:
    able = sum(each.active for each in operation.work_center.stations) if operation.work_center else 0
    if not 1 <= way.stations <= MOST_STATIONS or (way.stations > 1 and way.stations > able):
        raise ChangeError(
            gettext(
                "%(center)s has %(count)s stations in use: choose no more.",
                center=operation.work_center.name if operation.work_center else "",
                count=able,
            )
        )
    if way.stations > 1 and operation.sent_to is not None:
        raise ChangeError(
            gettext(
                "%(name)s was sent to %(station)s only: let it go first.", name=name, station=operation.sent_to.name
            )
        )
