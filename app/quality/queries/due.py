"""What is to be measured of a lot at an operation: what is due now, and what a sign-off still waits for."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.quality.frequencies import Owed, Progress, Stint, TimesAShift, Window, due_now, owed_at_sign_off
from app.lots.models import Lot, LotCharacteristic, LotOperation
from app.parts.models import Revision
from app.quality.errors import NoSuchMeasuringError
from app.quality.models import AllChecked, Nonconformance, Reading, Waiver
from app.quality.queries.pieces import Made, made_by_now, made_so_far, stints
from app.shared.words import gettext, ngettext

FIRST = Window(1, 1)


@dataclass(frozen=True, slots=True)
class Measured:
    """One characteristic at an operation of a lot: its readings, and what is due of it.

    Attributes:
        characteristic: what is measured.
        last: the reading of each piece that counts, the one taken last; by piece.
        decided: pieces whose bad reading something was decided about.
        owed: what is due.
    """

    characteristic: LotCharacteristic
    last: dict[int, Reading]
    decided: frozenset[int]
    owed: Owed

    @property
    def bad(self) -> list[Reading]:
        """Return the readings out of limits about which nothing is decided yet."""
        return [each for each in self.last.values() if not each.is_good and each.piece not in self.decided]

    @property
    def passed_first(self) -> bool:
        """Say whether the first piece was found good, or need not be."""
        first = self.last.get(1)
        return not self.characteristic.first_piece or (first is not None and (first.is_good or 1 in self.decided))

    def next_piece(self, made: int) -> int:
        """Return the piece that is proposed for the next reading: the first that is owed, else the one just made."""
        if self.owed.pieces:
            return self.owed.pieces[0].first
        return max(made, 1)


@dataclass(frozen=True)
class Measuring:
    """Everything to be measured of a lot at one operation, as it stands at a moment."""

    operation: LotOperation
    made: Made
    items: tuple[Measured, ...]
    confirmed: int
    """For so many pieces somebody said that all were checked."""
    waived: int
    """An inspector let it go on for so many pieces."""

    @cached_property
    def due(self) -> list[Measured]:
        """Return the characteristics of which a reading is due."""
        return [each for each in self.items if each.owed.readings]

    @property
    def readings_due(self) -> int:
        """Return how many readings are due."""
        return sum(each.owed.readings for each in self.items)

    @property
    def word_due(self) -> bool:
        """Say whether somebody must still say that all were checked."""
        return any(each.owed.all_checked for each in self.items)

    @property
    def bad(self) -> list[Reading]:
        """Return the readings out of limits about which nothing is decided yet."""
        return [reading for each in self.items for reading in each.bad]

    @property
    def needs_word(self) -> bool:
        """Say whether more is checked here than recorded."""
        return any(each.characteristic.checking != each.characteristic.recording for each in self.items)


def measured_operation(session: orm.Session, operation_id: int) -> LotOperation:
    """Return an operation with its lot and what is measured there.

    Raises:
        NoSuchMeasuringError: it does not exist, or nothing is measured there.
    """
    found = session.scalars(
        sa.select(LotOperation)
        .where(LotOperation.id == operation_id, LotOperation.measured)
        .options(
            orm.joinedload(LotOperation.kind),
            orm.joinedload(LotOperation.lot).options(
                orm.joinedload(Lot.revision).joinedload(Revision.part), orm.selectinload(Lot.operations)
            ),
            orm.selectinload(LotOperation.characteristics).joinedload(LotCharacteristic.gauge_kind),
        )
    ).one_or_none()
    if found is None:
        raise NoSuchMeasuringError
    return found


def measuring(session: orm.Session, operation: LotOperation, now: datetime) -> Measuring:
    """Return what is due of an operation now."""
    made = made_by_now(session, operation, now)
    facts = _Facts.read(session, operation, now)
    items = tuple(facts.item(each, made, _due(each, facts, made)) for each in operation.characteristics)
    return Measuring(operation, made, items, facts.confirmed, facts.waived)


def _due(characteristic: LotCharacteristic, facts: "_Facts", made: Made) -> Owed:
    if not made.made:
        first = facts.last.get(characteristic.id, {}).get(1)
        wanted = characteristic.first_piece and (first is None or not first.is_good)
        return Owed(pieces=(FIRST,)) if wanted else Owed()
    owed = due_now(characteristic.recording, facts.progress(characteristic, made))
    word = characteristic.checking != characteristic.recording and facts.confirmed < made.made
    return Owed(owed.pieces, owed.times, word)


def at_sign_off(session: orm.Session, operation: LotOperation, now: datetime) -> Measuring:
    """Return what is missing for the pieces that were signed off."""
    return _for_pieces(session, operation, now, made_so_far(operation))


def missing_if_done(session: orm.Session, operation: LotOperation, now: datetime) -> list[str]:
    """Return in sentences what would be missing or out if all pieces that are there were signed off."""
    return missing_words(owed_if_done(session, operation, now))


def owed_if_done(session: orm.Session, operation: LotOperation, now: datetime) -> Measuring:
    """Return what would be owed if all pieces that are there were signed off."""
    settled = made_so_far(operation)
    made = settled.done + operation.present
    return _for_pieces(session, operation, now, Made(settled.pieces, made, made))


def _for_pieces(session: orm.Session, operation: LotOperation, now: datetime, made: Made) -> Measuring:
    facts = _Facts.read(session, operation, now)
    items = tuple(
        facts.item(
            each,
            made,
            owed_at_sign_off(
                each.checking,
                each.recording,
                facts.progress(each, made),
                confirmed_checked=facts.confirmed >= made.made,
            ),
        )
        for each in operation.characteristics
    )
    return Measuring(operation, made, items, facts.confirmed, facts.waived)


def missing_words(measuring: Measuring) -> list[str]:
    """Return in sentences what is missing or out; none where nothing is."""
    found = []
    for each in measuring.items:
        name = f"{each.characteristic.number} {each.characteristic.name}"
        if each.owed.pieces:
            pieces = _pieces_words(each.owed.pieces)
            found.append(gettext("A reading of %(name)s is missing: piece %(pieces)s.", name=name, pieces=pieces))
        if each.owed.times:
            found.append(
                ngettext(
                    "%(num)d reading of %(name)s is missing.",
                    "%(num)d readings of %(name)s are missing.",
                    len(each.owed.times),
                    name=name,
                )
            )
        found.extend(
            gettext("%(name)s of piece %(piece)s is out of its limits.", name=name, piece=reading.piece)
            for reading in each.bad
        )
    if measuring.word_due:
        found.append(gettext("Nobody has said yet that all pieces were checked."))
    return found


def _pieces_words(windows: Sequence[Window]) -> str:
    shown = [str(each.first) for each in windows[:3]]
    if len(windows) > 3:
        shown.append(gettext("and %(count)s more", count=len(windows) - 3))
    return ", ".join(shown)


@dataclass(frozen=True)
class _Facts:
    """What the database says of an operation's measuring, read at once."""

    session: orm.Session
    operation: LotOperation
    now: datetime
    last: dict[int, dict[int, Reading]]
    good_at: dict[int, list[datetime]]
    """When good readings were taken, also of pieces that were measured again since."""
    decided: dict[int, frozenset[int]]
    confirmed: int
    waived: int

    @classmethod
    def read(cls, session: orm.Session, operation: LotOperation, now: datetime) -> "_Facts":
        """Read in a fixed number of statements."""
        own = [each.id for each in operation.characteristics]
        readings = session.scalars(
            sa.select(Reading)
            .where(Reading.characteristic_id.in_(own), Reading.struck_at.is_(None))
            .order_by(Reading.happened_at, Reading.id)
        )
        last: dict[int, dict[int, Reading]] = {}
        good_at: dict[int, list[datetime]] = {}
        for reading in readings:
            last.setdefault(reading.characteristic_id, {})[reading.piece] = reading
            if reading.is_good:
                good_at.setdefault(reading.characteristic_id, []).append(reading.happened_at)
        confirmed = sa.select(sa.func.max(AllChecked.pieces)).where(AllChecked.operation_id == operation.id)
        waived = sa.select(sa.func.max(Waiver.pieces)).where(Waiver.operation_id == operation.id)
        words = session.execute(sa.select(confirmed.scalar_subquery(), waived.scalar_subquery())).one()
        return cls(
            session, operation, now, last, good_at, _decided(session, operation), int(words[0] or 0), int(words[1] or 0)
        )

    def item(self, characteristic: LotCharacteristic, made: Made, owed: Owed) -> Measured:
        """Return one characteristic with what is due of it."""
        none: frozenset[int] = frozenset()
        own = self.decided.get(characteristic.id, none)
        return Measured(characteristic, self.last.get(characteristic.id, {}), own, owed)

    def progress(self, characteristic: LotCharacteristic, made: Made) -> Progress:
        """Return how far it is, as the core takes it: readings that are out pay nothing until they are decided."""
        last = self.last.get(characteristic.id, {})
        decided = self.decided.get(characteristic.id, frozenset())
        paid = [each for each in last.values() if each.is_good or each.piece in decided]
        pieces = max([made.pieces, *(each.piece for each in last.values())])
        recording = characteristic.recording
        return Progress(
            pieces=pieces,
            made=made.made,
            finished=made.finished,
            read=tuple(each.piece for each in paid),
            stints=self._stints(characteristic, recording.times) if isinstance(recording, TimesAShift) else (),
        )

    def _stints(self, characteristic: LotCharacteristic, times: int) -> tuple[Stint, ...]:
        taken = self.good_at.get(characteristic.id, [])
        return tuple(stints(self.session, self.operation, self.now, taken, times))


def _decided(session: orm.Session, operation: LotOperation) -> dict[int, frozenset[int]]:
    rows = session.execute(
        sa.select(Reading.characteristic_id, Nonconformance.first_piece, Nonconformance.last_piece)
        .join(Nonconformance.reading)
        .where(Nonconformance.found_at_id == operation.id, Nonconformance.closed_at.is_not(None))
    )
    found: dict[int, frozenset[int]] = {}
    for characteristic_id, first, last in rows:
        found[characteristic_id] = found.get(characteristic_id, frozenset()) | set(range(first, last + 1))
    return found
