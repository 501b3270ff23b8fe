"""Looking for a better order of work: asked for by a person, done by the planner, put in force by a person."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.schedule.errors import NoProposalError, NothingChosenError
from app.schedule.models import AcceptedPlan, CameTo, OperationRank, OrderSearch, Proposal, Stage
from app.schedule.services.storing import ONLY_ROW, PLANNER
from app.shared.database import lock_row, transaction
from app.shared.lease import still_holds
from app.stations.models import Station

UNDER_WAY = {Stage.ASKED, Stage.RUNNING}


@dataclass(frozen=True, slots=True)
class Standing:
    """How far a search is: percent of its time, and what the order as it was and the best so far come to."""

    share: int
    late_seconds_before: int | None = None
    late_seconds_best: int | None = None
    late_lots_before: int | None = None
    late_lots_best: int | None = None


@dataclass(frozen=True, slots=True)
class Ended:
    """How a search ended: where it stood, what came of it, and the columns of what it proposes, if anything.

    An order had to gain more than ``asked_gain_s`` to be proposed.
    """

    standing: Standing
    came_to: CameTo
    asked_gain_s: int
    proposal: dict[str, Any] | None


def ask_search(session: orm.Session, by: int | None, now: datetime) -> OrderSearch:
    """Have the planner look for a better order; where it does already, it goes on."""
    with transaction(session):
        search = lock_row(session, OrderSearch, ONLY_ROW)
        if search is None:
            search = OrderSearch(id=ONLY_ROW)
            session.add(search)
        elif search.stage in UNDER_WAY:
            return search
        search.stage, search.asked_at, search.asked_by_id = Stage.ASKED, now, by
        search.begun_at = search.ended_at = None
        search.stop_asked = False
        search.came_to = search.asked_gain_seconds = None
        _write(search, Standing(0))
    return search


def stop_search(session: orm.Session) -> None:
    """Have the search end with the best it has found; nothing happens where none runs."""
    with transaction(session):
        search = lock_row(session, OrderSearch, ONLY_ROW)
        if search is not None and search.stage in UNDER_WAY:
            search.stop_asked = True


def note_search(session: orm.Session, holder: str, standing: Standing, now: datetime) -> bool:
    """Note how far the search is, for the planner that holds the lease; say whether it is to stop."""
    with transaction(session):
        search = lock_row(session, OrderSearch, ONLY_ROW)
        if search is None or not still_holds(session, PLANNER, holder):
            return True
        if search.stage is Stage.ASKED:
            search.stage, search.begun_at = Stage.RUNNING, now
        _write(search, standing)
        return search.stop_asked


def end_search(session: orm.Session, holder: str, ended: Ended | None, now: datetime) -> None:
    """Note that the search has ended, with what it proposes if anything; None: it has failed.

    An older proposal is replaced, and gone where there is no new one: it was made for a shop that is no more.
    """
    with transaction(session):
        search = lock_row(session, OrderSearch, ONLY_ROW)
        if search is None or not still_holds(session, PLANNER, holder):
            return
        search.ended_at, search.stage = now, Stage.FAILED
        if ended is None:
            return
        search.stage, search.came_to, search.asked_gain_seconds = Stage.ENDED, ended.came_to, ended.asked_gain_s
        _write(search, ended.standing)
        session.execute(sa.delete(Proposal))
        if ended.proposal is not None:
            session.add(Proposal(id=ONLY_ROW, made_at=now, **ended.proposal))


def accept_proposal(
    session: orm.Session, made_at: datetime, station_ids: Collection[int] | None, by: int | None, now: datetime
) -> AcceptedPlan:
    """Put a proposal in force at some stations, or at all; it is the one made at ``made_at``.

    All the stations that it changes are all stations.

    Raises:
        NoProposalError: it was accepted, left or replaced meanwhile.
        NothingChosenError: no station was chosen.
    """
    with transaction(session):
        proposal = _made_at(session, made_at)
        ranked = {row[2] for row in proposal.ranks}
        chosen = ranked if station_ids is None else _chosen(proposal, ranked.intersection(station_ids))
        ranks = [row for row in proposal.ranks if row[2] in chosen]
        replaced = sa.delete(OperationRank)
        if chosen != ranked:
            operations = [row[0] for row in ranks]
            replaced = replaced.where(
                sa.or_(OperationRank.station_id.in_(chosen), OperationRank.operation_id.in_(operations))
            )
        session.execute(replaced)
        names = session.scalars(sa.select(Station.name).where(Station.id.in_(chosen)).order_by(Station.name))
        accepted = AcceptedPlan(accepted_at=now, accepted_by_id=by, stations=list(names))
        session.add_all(
            OperationRank(operation_id=operation, rank=rank, station_id=station, accepted_plan=accepted)
            for operation, rank, station in ranks
        )
        _decide(session, CameTo.ACCEPTED)
    return accepted


def _chosen(proposal: Proposal, ticked: set[int]) -> set[int]:
    """Return where a proposal is accepted: where it is ticked, or everywhere when all that changes is."""
    if not ticked:
        raise NothingChosenError
    ranked = {row[2] for row in proposal.ranks}
    changed = ranked & {each["station_id"] for each in proposal.stations}
    return ranked if changed <= ticked else ticked


def leave_order(session: orm.Session, made_at: datetime) -> None:
    """Leave the order of work as it is, and with it the proposal made at ``made_at``.

    Raises:
        NoProposalError: it was accepted, left or replaced meanwhile.
    """
    with transaction(session):
        _made_at(session, made_at)
        _decide(session, CameTo.LEFT)


def drop_ranks(session: orm.Session, by: int | None, now: datetime) -> None:
    """Let pins, rush and due dates decide again who goes first; nothing happens where they do."""
    with transaction(session):
        ranked = session.scalars(sa.select(OperationRank)).all()
        for row in ranked:
            session.delete(row)
        if ranked:
            session.add(AcceptedPlan(accepted_at=now, accepted_by_id=by, stations=[]))


def _made_at(session: orm.Session, made_at: datetime) -> Proposal:
    """Return the proposal that somebody saw, locked."""
    proposal = lock_row(session, Proposal, ONLY_ROW)
    if proposal is None or proposal.made_at != made_at:
        raise NoProposalError
    return proposal


def _decide(session: orm.Session, came_to: CameTo) -> None:
    """Take the proposal away and note on the search that made it, unless a new one runs, what was decided."""
    session.execute(sa.delete(Proposal))
    search = lock_row(session, OrderSearch, ONLY_ROW)
    if search is not None and search.came_to is CameTo.PROPOSED:
        search.came_to = came_to


def _write(search: OrderSearch, standing: Standing) -> None:
    search.share = standing.share
    search.late_seconds_before, search.late_seconds_best = standing.late_seconds_before, standing.late_seconds_best
    search.late_lots_before, search.late_lots_best = standing.late_lots_before, standing.late_lots_best
