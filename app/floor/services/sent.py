"""What a station sent, and the frame in which each of its changes is made: by whom, when, and what is mended first."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.floor import queries
from app.floor.errors import NobodySignedOnError
from app.floor.models import SignOn
from app.floor.queries import Acting
from app.lots import services as ledger
from app.lots.services import Act
from app.people.models import Person
from app.people.queries import get_person
from app.shared.database import table_of, transaction
from app.shared.words import gettext
from app.stations.queries import down_now, get_station
from app.stations.services import Said, back_now


@dataclass(frozen=True, slots=True)
class Remedies:
    """The truth that a person confirmed where the floor and the ledger differed; all of it is kept with the change.

    Attributes:
        anyway: it really runs at this station though it was planned for another.
        is_back: the station, recorded as down, is back.
        earlier: operations at which so many pieces stand though they were not signed off before: (key, pieces).
        blanks: which receipt pieces came from whose blanks nobody issued: (lot, receipt, pieces).
        first_pieces: operations whose first piece was found good.
        paused: operations to pause first, because the station is full.
    """

    anyway: bool = False
    is_back: bool = False
    earlier: tuple[tuple[int, int], ...] = ()
    blanks: tuple[tuple[int, int, int], ...] = ()
    first_pieces: tuple[int, ...] = ()
    paused: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Sent:
    """The circumstances of something that a station sent.

    Attributes:
        station_id: the station.
        key: the client's key of the form.
        happened_at: when it happened: when it was received, less the age that the tablet gave.
        received_at: now.
        remedies: what is to be put right first.
        office_id: who is signed in to the office and says it from there; None: whoever is signed on at the station.
    """

    station_id: int
    key: str
    happened_at: datetime
    received_at: datetime
    remedies: Remedies = Remedies()
    office_id: int | None = None


def check_somebody_acts(session: orm.Session, sent: Sent) -> None:
    """Refuse what nobody would have done.

    Raises:
        NobodySignedOnError: nobody was signed on at the station then.
    """
    _acting(session, sent)


def _acting(session: orm.Session, sent: Sent) -> Acting:
    found = queries.who_acts(session, sent.station_id, sent.happened_at)
    if found is None:
        raise NobodySignedOnError
    return found


@contextmanager
def working(session: orm.Session, sent: Sent) -> Iterator[Act]:
    """Make one change as the person who is signed on, in one transaction with the remedies that it needs first.

    Yields the act for the ledger; the person's sign-on stays alive.

    Raises:
        NobodySignedOnError: nobody was signed on at the station then.
        LedgerError: a remedy is refused.
    """
    with transaction(session):
        act = Act(
            key=sent.key,
            happened_at=sent.happened_at,
            recorded_at=sent.received_at,
            person_id=_who(session, sent),
            station_id=sent.station_id,
            note=gettext("ran at another station than planned") if sent.remedies.anyway else "",
        )
        _mend(session, sent, replace(act, note=""))
        yield act


def _who(session: orm.Session, sent: Sent) -> int:
    if sent.office_id is not None:
        return get_person(session, sent.office_id).id
    acting = _acting(session, sent)
    _keep_alive(session, acting, sent.happened_at)
    return acting.person_id


def doer(session: orm.Session, act: Act) -> Person:
    """Return who does what a station sent, for what not everybody may do."""
    return get_person(session, act.person_id or 0)


def said(act: Act, what: str = "") -> Said:
    """Return the circumstances of something said of a station; ``what`` tells it from others of the same form."""
    key = f"{act.key}/{what}" if what else act.key
    return Said(key, act.happened_at, act.recorded_at, act.person_id)


_sign_ons = table_of(SignOn)
SEEN = sa.update(_sign_ons).where(_sign_ons.c.id == sa.bindparam("sign_on_id")).values(seen_at=sa.bindparam("moment"))
"""Made once: it runs at every change from a station."""


def _keep_alive(session: orm.Session, acting: Acting, moment: datetime) -> None:
    """Note that the person was seen."""
    if moment > acting.seen_at:
        session.connection().execute(SEEN, {"sign_on_id": acting.sign_on_id, "moment": moment})


def _mend(session: orm.Session, sent: Sent, act: Act) -> None:
    """Put right what the person confirmed; each entry has a key of its own, made from the form's."""
    remedies = sent.remedies
    if remedies.is_back:
        _bring_back(session, sent, act)
    for operation_id in remedies.paused:
        ledger.pause(session, keyed(act, f"pause {operation_id}"), operation_id)
    for lot_id, receipt_id, pieces in remedies.blanks:
        ledger.issue_blanks(session, keyed(act, f"blanks {receipt_id}"), lot_id, receipt_id, pieces)
    for operation_id, pieces in remedies.earlier:
        ledger.record_earlier(session, keyed(act, f"earlier {operation_id}"), operation_id, pieces)
    for operation_id in remedies.first_pieces:
        ledger.first_piece_good(session, keyed(act, f"first {operation_id}"), operation_id)


def keyed(act: Act, what: str) -> Act:
    """Return the act with a key of its own, made from the form's."""
    return replace(act, key=f"{act.key}/{what}")


def _bring_back(session: orm.Session, sent: Sent, act: Act) -> None:
    """End the downtime; sent twice, it has ended already."""
    if down_now(session, get_station(session, sent.station_id), sent.happened_at):
        back_now(session, sent.station_id, said(act, "back"))
