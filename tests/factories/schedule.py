"""Forecasts computed and stored by the program's own planner, and a shop in one sentence."""

from datetime import datetime, timedelta

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot
from app.parts.models import KindRole, Taking
from app.schedule.models import LotForecast, PlannedRun, Question
from app.schedule.planner import Planner
from tests.factories.parts import OperationKindFactory, RevisionFactory, RoutingFactory, RoutingOperationFactory
from tests.factories.stations import StationFactory

MINUTE = 60
HOUR = 3600


def plan_now(session: orm.Session, now: datetime) -> None:
    """Let a planner of its own wake once at ``now`` and store its forecast."""
    engine = session.get_bind()
    assert isinstance(engine, sa.Engine)
    planner = Planner(engine, holder=f"test {now}", clock=lambda: now)
    assert planner.wake()
    planner.leave()
    session.rollback()  # so that it sees what was stored


def answer_now(session: orm.Session, now: datetime) -> Question | None:
    """Let a planner of its own answer the oldest question at ``now``; return the one that was asked last."""
    engine = session.get_bind()
    assert isinstance(engine, sa.Engine)
    planner = Planner(engine, holder="answers", clock=lambda: now)
    planner.wake()
    planner.answering.wait()
    planner.answering.tend(now, planner.replayer)
    planner.leave()
    session.rollback()
    return session.scalars(sa.select(Question).order_by(Question.id.desc())).first()


def forecast_of(session: orm.Session, lot: Lot) -> LotForecast:
    """Return what is stored of a lot."""
    return session.get_one(LotForecast, lot.id, populate_existing=True)


def runs_of(session: orm.Session, lot: Lot) -> list[PlannedRun]:
    """Return the stored runs of a lot in the order of their starts."""
    ids = [operation.id for operation in lot.operations]
    chosen = sa.select(PlannedRun).where(PlannedRun.operation_id.in_(ids)).order_by(PlannedRun.start_at, PlannedRun.id)
    return list(session.scalars(chosen))


def spans_of(session: orm.Session, lot: Lot, since: datetime) -> list[tuple[float, float]]:
    """Return start and end of each stored run of a lot in minutes after ``since``."""
    minute = timedelta(minutes=1)
    return [((run.start_at - since) / minute, (run.end_at - since) / minute) for run in runs_of(session, lot)]


def routing_of(*plans, blanks=None, **revision):
    """Make a routing of operations with the given plans, each in a work center with one station of its own.

    ``blanks`` puts an operation that orders blanks before them, with so many days of lead time.
    """
    routing = RoutingFactory(revision=RevisionFactory(**{"piece_grams": 500, "blank_grams": 900, **revision}))
    if blanks is not None:
        RoutingOperationFactory(
            routing=routing,
            number=5,
            title="Order blanks",
            kind=OperationKindFactory(role=KindRole.BLANKS),
            work_center=None,
            taking=Taking.LEAD_TIME,
            lead_days=blanks,
            cycle_ms=0,
            setup_seconds=0,
        )
    for place, plan in enumerate(plans, start=1):
        facts = {"number": 10 * place, "title": f"Step {place}", **plan}
        if "work_center" not in facts:
            facts["work_center"] = StationFactory().work_center
        RoutingOperationFactory(routing=routing, **facts)
    return routing


def single(minutes: float, setup: float = 0, **more: object) -> dict[str, object]:
    """Return the plan of an operation that takes one piece at a time."""
    return {"taking": Taking.SINGLE, "cycle_ms": round(minutes * 60_000), "setup_seconds": round(setup * 60), **more}
