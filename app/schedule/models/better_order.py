"""The search for a better order of work: how far it is, what it proposes, and the ranks that were accepted."""

from datetime import datetime
from enum import StrEnum
from typing import Any

import sqlalchemy as sa
from sqlalchemy import orm

from app.people.models import Person
from app.shared.database import Model, PrimaryKey, choice


class Stage(StrEnum):
    """How far a search is."""

    ASKED = "asked"
    RUNNING = "running"
    ENDED = "ended"
    FAILED = "failed"


class CameTo(StrEnum):
    """What came of a search, and of what it proposed."""

    NOTHING_BETTER = "nothing better"
    NOT_ON_AVERAGE = "not on average"
    """No order that it found was less late than the one in force when lived through again and again."""
    TOO_LITTLE = "too little"
    """The one that was gains no more than the shop asks for."""
    PROPOSED = "proposed"
    ACCEPTED = "accepted"
    LEFT = "left"


class OrderSearch(Model):
    """One row: the search that runs, or the last one."""

    __tablename__ = "order_search"
    __table_args__ = (
        sa.CheckConstraint("id = 1", name="one_row"),
        sa.CheckConstraint("share BETWEEN 0 AND 100", name="share_range"),
    )

    id: orm.Mapped[PrimaryKey]
    stage: orm.Mapped[Stage]
    asked_at: orm.Mapped[datetime]
    asked_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    begun_at: orm.Mapped[datetime | None]
    ended_at: orm.Mapped[datetime | None]
    share: orm.Mapped[int] = orm.mapped_column(default=0)
    """Percent of its time that is spent."""
    stop_asked: orm.Mapped[bool] = orm.mapped_column(default=False)
    late_seconds_before: orm.Mapped[int | None] = orm.mapped_column(sa.BigInteger)
    """Seconds past due of all lots by the order as it was, each by its customer's weight."""
    late_seconds_best: orm.Mapped[int | None] = orm.mapped_column(sa.BigInteger)
    """The same of the best order so far."""
    late_lots_before: orm.Mapped[int | None]
    late_lots_best: orm.Mapped[int | None]
    came_to: orm.Mapped[CameTo | None] = orm.mapped_column(choice(CameTo, "came_to"))
    """Missing until it ends; also where it ended before this was kept, without a proposal."""
    asked_gain_seconds: orm.Mapped[int | None] = orm.mapped_column(sa.BigInteger)
    """When it ended, an order was proposed only if it gained more than this."""
    asked_by: orm.Mapped[Person | None] = orm.relationship()


class Proposal(Model):
    """One row: the order that the last search proposes, until it is accepted, left or replaced."""

    __tablename__ = "proposal"
    __table_args__ = (sa.CheckConstraint("id = 1", name="one_row"),)

    id: orm.Mapped[PrimaryKey]
    made_at: orm.Mapped[datetime]
    change_number: orm.Mapped[int] = orm.mapped_column(sa.BigInteger)
    """The state of the shop that it was made for."""
    late_seconds_before: orm.Mapped[int] = orm.mapped_column(sa.BigInteger)
    late_seconds_after: orm.Mapped[int] = orm.mapped_column(sa.BigInteger)
    late_lots_before: orm.Mapped[int]
    late_lots_after: orm.Mapped[int]
    expected_seconds_before: orm.Mapped[int] = orm.mapped_column(sa.BigInteger, default=0, server_default="0")
    """The mean seconds past due, by weight, when the order as it was is lived through again and again."""
    expected_seconds_after: orm.Mapped[int] = orm.mapped_column(sa.BigInteger, default=0, server_default="0")
    """The same of this order, on the same luck."""
    expected_error: orm.Mapped[int] = orm.mapped_column(sa.BigInteger, default=0, server_default="0")
    """The standard error of the difference."""
    plans_compared: orm.Mapped[int] = orm.mapped_column(sa.BigInteger, default=0, server_default="0")
    """Among how many good orders it was chosen so."""
    lots: orm.Mapped[list[dict[str, Any]]] = orm.mapped_column(sa.JSON)
    """The lots whose finish changes: ``lot_id``, ``name``, ``before``, ``after`` (seconds since 1970), ``gain_s``."""
    stations: orm.Mapped[list[dict[str, Any]]] = orm.mapped_column(sa.JSON)
    """What changes at each: ``station_id``, ``name``, some of its runs in their order ``before`` and ``after``, and how
    many that go before those and stay are ``left_out``."""
    ranks: orm.Mapped[list[list[int]]] = orm.mapped_column(sa.JSON)
    """(operation, rank, station) of each operation that is ranked."""


class AcceptedPlan(Model):
    """A person accepted a proposal, or parts of it; never changed."""

    __tablename__ = "accepted_plan"

    id: orm.Mapped[PrimaryKey]
    accepted_at: orm.Mapped[datetime]
    accepted_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    stations: orm.Mapped[list[str]] = orm.mapped_column(sa.JSON)
    """Their names when it was accepted there; empty: the ranks were dropped and due dates decide again."""
    accepted_by: orm.Mapped[Person | None] = orm.relationship()


class OperationRank(Model):
    """The place of an operation in the accepted plan: a free station takes the lowest first."""

    __tablename__ = "operation_rank"
    read_by_planner = True

    operation_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot_operation.id"), primary_key=True)
    rank: orm.Mapped[int]
    station_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("station.id"), index=True)
    """Where the plan has it done."""
    accepted_plan_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("accepted_plan.id"), index=True)
    """Plans are accepted station by station: those of several may be in force at once."""
    accepted_plan: orm.Mapped[AcceptedPlan] = orm.relationship()
