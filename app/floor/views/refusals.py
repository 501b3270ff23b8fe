"""What a station refused, and the truth that it offers to record instead, in one step."""

from collections.abc import Iterable
from dataclasses import dataclass

from flask import request, url_for

from app.extensions import db
from app.floor import queries
from app.floor.errors import NobodySignedOnError
from app.lots.errors import (
    BlanksAtHand,
    BlanksNotIssuedError,
    ComponentsMissingError,
    EarlierNotSignedOffError,
    EntryRefusedError,
    FirstPieceError,
    StationDownError,
    StationFullError,
    WrongStationError,
)
from app.lots.models import JobState
from app.lots.queries.names import lot_name
from app.quality.errors import FirstPieceNotGoodError
from app.shared.errors import PlainError
from app.shared.words import gettext, ngettext

NOT_SENT_AGAIN = frozenset({"key", "age", "pin"})


@dataclass(frozen=True, slots=True)
class Offer:
    """A key that sends the same again together with what a person confirms by pressing it; ``also`` goes along."""

    label: str
    name: str
    value: str
    also: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Refusal:
    """A refusal in words, what can be confirmed to go on, and what is sent again with it.

    Attributes:
        sentence: what is wrong and how to mend it.
        offers: the keys that go on.
        again: the fields that were sent.
        action: where they were sent.
        link: an address that helps, and its name.
        needs_badge: whether only a badge is missing.
    """

    sentence: str
    offers: tuple[Offer, ...] = ()
    again: tuple[tuple[str, str], ...] = ()
    action: str = ""
    link: tuple[str, str] | None = None
    needs_badge: bool = False


def refusal_of(error: PlainError, station_id: int, operation_id: int | None = None) -> Refusal:
    """Return what to show for an error; ``operation_id`` is what the form was about, where there is one."""
    return Refusal(
        sentence=str(error),
        offers=tuple(_offers(error, station_id)),
        again=tuple((name, value) for name, value in request.form.items(multi=True) if name not in NOT_SENT_AGAIN),
        action=request.path,
        link=_link(error, station_id, operation_id),
        needs_badge=isinstance(error, NobodySignedOnError),
    )


def _offers(error: PlainError, station_id: int) -> list[Offer]:
    offers: list[Offer] = []
    match error:
        case EarlierNotSignedOffError():
            label = ngettext("Record it now for this piece", "Record it now for these %(num)d pieces", error.missing)
            offers = [Offer(label, "earlier", f"{error.operation_id}:{error.missing}")]
        case BlanksNotIssuedError():
            offers = _from_receipts(error)
        case FirstPieceError():
            offers = [Offer(gettext("The first piece was good"), "first", str(error.operation_id))]
        case WrongStationError():
            offers = [Offer(gettext("It really runs here"), "anyway", "1")]
        case StationDownError():
            offers = [Offer(gettext("The station is back"), "back", "1")]
        case StationFullError():
            offers = _pauses(station_id)
    return offers


def _from_receipts(error: BlanksNotIssuedError) -> list[Offer]:
    """Offer each receipt that has enough blanks; where none has, all of them together."""
    enough = [each for each in error.at_hand if each.pieces >= error.missing]
    return [_issue(error, [each]) for each in enough] or [_issue(error, error.at_hand)]


def _issue(error: BlanksNotIssuedError, receipts: Iterable[BlanksAtHand]) -> Offer:
    """Offer to issue from receipts, first received first; operations between are recorded in the same step."""
    left, labels, fields = error.missing, [], []
    for each in receipts:
        pieces = min(each.pieces, left)
        if pieces:
            left -= pieces
            heat = each.heat or gettext("not given")
            labels.append(
                gettext("%(pieces)s from %(receipt)s, heat %(heat)s", pieces=pieces, receipt=each.code, heat=heat)
            )
            fields.append(("blanks", f"{error.lot_id}:{each.receipt_id}:{pieces}"))
    if error.operation_id is not None:
        fields.append(("earlier", f"{error.operation_id}:{error.begun + error.missing - left}"))
    (name, value), *also = fields
    return Offer("; ".join(labels), name, value, tuple(also))


def _pauses(station_id: int) -> list[Offer]:
    """Offer to pause each job that takes a pallet."""
    busy = [each for each in queries.open_work(db.session, station_id) if each.first.job.state is not JobState.PAUSED]
    return [
        Offer(
            gettext("Pause %(lot)s", lot=", ".join(lot_name(each.lot) for each in work.jobs)),
            "pause",
            str(work.first.job.operation_id),
        )
        for work in busy
    ]


def _link(error: PlainError, station_id: int, operation_id: int | None) -> tuple[str, str] | None:
    if isinstance(error, EntryRefusedError | FirstPieceNotGoodError) and operation_id is not None:
        return url_for("floor.readings", station_id=station_id, operation_id=operation_id), gettext("Measure")
    if isinstance(error, ComponentsMissingError) and operation_id is not None:
        url = url_for("floor.components", station_id=station_id, operation_id=operation_id)
        return url, gettext("Record components")
    return None
