"""Entering what was written by pen while the PC was down: initials become people, codes operations and components."""

import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, field, replace
from datetime import datetime
from typing import TypeVar

from sqlalchemy import orm

from app.core.scan_code import CodeKind
from app.floor import queries
from app.floor.errors import InitialsError, NotAtAStationError, NothingOfLotHereError, NotWorkError
from app.floor.services.components import component_source
from app.lots import services as ledger
from app.lots.models import LotOperation, Posting
from app.lots.queries.names import lot_name, operation_name
from app.lots.services import Act, ComponentSource, PaperRow
from app.parts.models import KindRole
from app.people.queries import active_people
from app.quality.errors import MeasuringRefusedError
from app.quality.services import PaperReadings, keep_paper_readings
from app.shared.codes import read_code
from app.shared.database import transaction
from app.shared.errors import PlainError, Problem
from app.stations.models import Station
from app.stations.queries import get_station

Found = TypeVar("Found")


@dataclass(frozen=True, slots=True)
class WrittenRow:
    """A row as it was typed from paper: the operation by its key or by a code, the person by their initials."""

    place: str
    operation_id: int | None
    code: str
    initials: str
    begun_at: datetime | None
    done_at: datetime | None
    good: int
    scrap: int
    reason: str
    station_id: int | None
    first_piece: bool
    components: str
    readings: str = ""
    all_checked: bool = False
    inspector: str = ""
    why: str = ""

    @property
    def tells_of_measuring(self) -> bool:
        """Say whether anything about measuring stands in it."""
        return bool(self.readings.strip() or self.all_checked or self.inspector or self.why)


def enter_from_paper(
    session: orm.Session, act: Act, rows: Sequence[WrittenRow], station_id: int | None
) -> list[Posting]:
    """Keep the rows of a traveler, or of the shift of ``station_id``, all or none.

    ``act`` says who types them in and when.

    Raises:
        RefusedError: something is wrong; its problems say what, in which row and field.
        LedgerError: no row is filled in, or the key was used for other rows.
    """
    content = {"rows": [asdict(row) for row in rows], "station": station_id}
    with transaction(session):
        kept = ledger.rows_kept(session, act, content)
        if kept:
            return kept
        station = get_station(session, station_id) if station_id is not None else None
        reader = _Reader(session, station)
        read = [each for each in map(reader.read, rows) if each is not None]
        _keep_readings(session, act, reader, rows, read)
        return ledger.enter_rows(session, act, read, content=content, wrong=reader.wrong)


def _keep_readings(
    session: orm.Session, act: Act, reader: "_Reader", rows: Sequence[WrittenRow], read: Sequence[PaperRow]
) -> None:
    """Keep what rows tell of measuring, before they are kept; put what is wrong with it beside their fields."""
    written = {each.place: each for each in rows}
    done: Counter[int] = Counter()
    for row in read:
        told = written[row.place]
        done[row.operation_id] += row.pieces
        if told.tells_of_measuring and row.done_at is not None:
            reader.keep_readings(_as_done(act, row), told, done[row.operation_id])


def _as_done(act: Act, row: PaperRow) -> Act:
    """Return who measured, where, and when: as the row was done."""
    return replace(
        act,
        key=f"{act.key}/{row.place}",
        happened_at=row.done_at or act.happened_at,
        person_id=row.person_id,
        station_id=row.station_id,
    )


@dataclass(slots=True)
class _Reader:
    """Reads what rows name, gathering what nobody knows."""

    session: orm.Session
    station: Station | None
    wrong: list[Problem] = field(default_factory=list)
    people: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.people = {each.initials.lower(): each.id for each in active_people(self.session)}

    def read(self, row: WrittenRow) -> PaperRow | None:
        """Return the row for the ledger, or None where nothing can be worked out without knowing its operation."""
        named = "operation" if self.station is None else "code"
        operation = self._try(row, named, lambda: self._operation(row))
        person_id = self._try(row, "initials", lambda: self._person(row.initials))
        if operation is None:
            return None
        return PaperRow(
            place=row.place,
            operation_id=operation.id,
            person_id=person_id,
            begun_at=row.begun_at,
            done_at=row.done_at,
            good=row.good,
            scrap=row.scrap,
            reason=row.reason,
            station_id=self._station_id(row, operation),
            first_piece=row.first_piece,
            components=self._try(row, "components", lambda: self._components(row, operation)) or (),
        )

    def keep_readings(self, act: Act, row: WrittenRow, pieces: int) -> None:
        """Keep what a row tells of measuring; ``pieces`` are those that its sheet says are done with there."""
        inspector = self._try(row, "inspector", lambda: self._person(row.inspector)) if row.inspector else None
        try:
            operation = self._operation(row)
            told = PaperReadings(
                operation.id, row.readings, row.all_checked, operation.done + pieces, inspector, row.why
            )
            keep_paper_readings(self.session, act, told)
        except MeasuringRefusedError as error:
            field = {"readings": "readings", "reason": "why"}.get(error.about, "readings")
            self.wrong.append(Problem(f"{row.place}-{field}", error))
        except PlainError as error:
            self.wrong.append(Problem(f"{row.place}-readings", error))

    def _try(self, row: WrittenRow, name: str, find: Callable[[], Found]) -> Found | None:
        try:
            return find()
        except PlainError as error:
            self.wrong.append(Problem(f"{row.place}-{name}", error))
            return None

    def _person(self, initials: str) -> int:
        if initials.lower() not in self.people:
            raise InitialsError(initials)
        return self.people[initials.lower()]

    def _operation(self, row: WrittenRow) -> LotOperation:
        operation = self._coded(row.code) if self.station is not None else self._of_lot(row)
        if operation.kind.role is KindRole.BLANKS:
            raise NotAtAStationError(operation_name(operation), operation.kind.name)
        return operation

    def _of_lot(self, row: WrittenRow) -> LotOperation:
        return queries.operation_at(self.session, row.operation_id or 0)

    def _coded(self, text: str) -> LotOperation:
        code = read_code(text)
        if code.kind is CodeKind.OPERATION:
            return queries.operation_by_number(self.session, code)
        if code.kind is not CodeKind.LOT:
            raise NotWorkError(str(code))
        lot = queries.lot_by_number(self.session, code)
        assert self.station is not None  # noqa: S101 - for the type checker: only a station's rows have codes
        fitting = queries.fitting_operation(self.session, lot, self.station.id, self.station.work_center_id)
        if fitting is None:
            raise NothingOfLotHereError(lot_name(lot), self.station.name)
        return queries.operation_at(self.session, fitting.id)

    def _station_id(self, row: WrittenRow, operation: LotOperation) -> int | None:
        if operation.work_center_id is None:
            return None
        return self.station.id if self.station is not None else row.station_id

    def _components(self, row: WrittenRow, operation: LotOperation) -> tuple[ComponentSource, ...]:
        codes = [each for each in re.split(r"[\s,;]+", row.components) if each]
        return tuple(component_source(self.session, operation.id, each) for each in codes)
