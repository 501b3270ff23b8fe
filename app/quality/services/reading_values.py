"""What was typed, tapped or sent becomes a reading: exact, against its limits, questioned where it may be a slip."""

from dataclasses import dataclass
from decimal import Decimal

from sqlalchemy import orm

from app.core.quality.errors import BadInputError
from app.core.quality.readings import Slip, is_far_out, read_deviation, read_value, suspicions
from app.core.quality.tolerances import Attribute
from app.lots.models import LotCharacteristic
from app.lots.services import Act
from app.parts.errors import fault_words
from app.quality import queries
from app.quality.errors import (
    AnswerMissingError,
    FarOutError,
    GaugeBlockedError,
    GaugeMissingError,
    MeasuringRefusedError,
    NothingTypedError,
)
from app.quality.models import Gauge, Reading
from app.shared.words import local

LENGTHS = frozenset({"in", "mm"})


@dataclass(frozen=True, slots=True)
class NewReading:
    """A reading as it is typed, tapped or sent by a gauge.

    Attributes:
        characteristic_id: what was measured: a lot's characteristic.
        typed: the value, or the deviation in the last place; empty for yes or no.
        as_deviation: ``typed`` is a deviation from the nominal.
        met: the answer, for yes or no.
        piece: the piece's number; None: the one that is due.
        serial: its serial number, where the plan asks for it.
        gauge_id: the gauge.
        sure: a value that was questioned, and is right.
    """

    characteristic_id: int
    typed: str = ""
    as_deviation: bool = False
    met: bool | None = None
    piece: int | None = None
    serial: str = ""
    gauge_id: int | None = None
    sure: str = ""


def read_reading(characteristic: LotCharacteristic, new: NewReading) -> Reading:
    """Return a reading with its value and how it stands; piece, gauge and who took it are still to be added.

    Raises:
        MeasuringRefusedError: it makes no sense, or lies so far out that it is questioned (FarOutError).
    """
    reading = Reading(characteristic=characteristic, questioned=False, struck_reason="", typed="")
    if not characteristic.is_measured:
        if new.met is None:
            raise AnswerMissingError
        reading.met, reading.standing = new.met, Attribute().standing(new.met)
        return reading
    if not new.typed.strip():
        raise NothingTypedError
    try:
        value = (read_deviation if new.as_deviation else _read_plain)(new.typed, characteristic.limits)
    except BadInputError as error:
        raise MeasuringRefusedError(fault_words(error)) from None
    reading.value, reading.typed = value, f"{value:f}"
    reading.questioned = _is_sure(characteristic, value, new)
    reading.standing = characteristic.limits.standing(value)
    return reading


def _read_plain(typed: str, _limits: object) -> Decimal:
    return read_value(typed)


def _is_sure(characteristic: LotCharacteristic, value: Decimal, new: NewReading) -> bool:
    """Say whether a doubtful value was confirmed; False for one that is in no doubt.

    Raises:
        FarOutError: it is in doubt, and nobody has said that just this value is right.
    """
    if not is_far_out(value, characteristic.limits):
        return False
    if new.sure == new.typed:
        return True
    meant = tuple(
        each
        for each in suspicions(value, characteristic.limits)
        if each.slip is not Slip.OTHER_UNIT or characteristic.unit in LENGTHS
    )
    raise FarOutError(new.typed, f"{value:f}", meant, queries.question_words(f"{value:f}", characteristic, meant))


def usable_gauge(session: orm.Session, characteristic: LotCharacteristic, new: NewReading, act: Act) -> Gauge | None:
    """Return the gauge that was chosen; one is needed where the shop lists gauges of the kind that the plan names.

    Raises:
        GaugeMissingError: none was chosen.
        GaugeBlockedError: it must not be used.
    """
    if characteristic.gauge_kind_id is None:
        return None
    listed = queries.gauges_of_kind(session, characteristic.gauge_kind_id)
    gauge = next((each for each in listed if each.id == new.gauge_id), None)
    if gauge is None:
        if listed:
            raise GaugeMissingError(characteristic.gauge_kind.name if characteristic.gauge_kind else "")
        return None
    today = local(act.happened_at).date()
    if not gauge.is_usable(today):
        raise GaugeBlockedError(gauge.name, queries.gauge_words(gauge, today))
    return gauge
