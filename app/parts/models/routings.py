"""Routings: the ordered steps that make a revision."""

from datetime import datetime
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING

import sqlalchemy as sa
from sqlalchemy import orm

from app.parts.models.parts import Revision
from app.shared.database import Model, PrimaryKey
from app.shared.exact import Exact
from app.shared.words import gettext
from app.stations.models import WorkCenter

if TYPE_CHECKING:
    from app.parts.models.files import OperationFile


class KindRole(StrEnum):
    """What an operation kind means to the program, whatever the shop calls it."""

    BLANKS = "blanks"
    STATION = "station"
    OUTSIDE = "outside"

    @property
    def word(self) -> str:
        """Return what it means, as pages say it."""
        words = {
            KindRole.BLANKS: gettext("Orders the blanks"),
            KindRole.STATION: gettext("Done at a station"),
            KindRole.OUTSIDE: gettext("Done by others"),
        }
        return words[self]


class Taking(StrEnum):
    """How pieces are taken."""

    SINGLE = "single"
    LOAD = "load"
    BATCH = "batch"
    BAR = "bar"
    LEAD_TIME = "lead time"

    @property
    def word(self) -> str:
        """Return the way as pages name it."""
        words = {
            Taking.SINGLE: gettext("One at a time"),
            Taking.LOAD: gettext("Pallet load"),
            Taking.BATCH: gettext("Batch"),
            Taking.BAR: gettext("Bar-fed"),
            Taking.LEAD_TIME: gettext("Lead time"),
        }
        return words[self]


class OperationKind(Model):
    """A kind of operation, such as milling, with the cautions that are shown and printed with it."""

    __tablename__ = "operation_kind"

    id: orm.Mapped[PrimaryKey]
    name: orm.Mapped[str] = orm.mapped_column(unique=True)
    role: orm.Mapped[KindRole] = orm.mapped_column(default=KindRole.STATION)
    caution: orm.Mapped[str] = orm.mapped_column(default="")
    """One or two short lines."""


class OperationPlan:
    """The columns that a routing's operation and its frozen copy in a lot share."""

    number: orm.Mapped[int]
    title: orm.Mapped[str] = orm.mapped_column(default="")
    setup_seconds: orm.Mapped[int] = orm.mapped_column(default=0)
    setup_family: orm.Mapped[str] = orm.mapped_column(default="")
    """The fixture or family of parts it is set up with; operations of one family follow each other more cheaply."""
    family_setup_seconds: orm.Mapped[int] = orm.mapped_column(default=0)
    """Set-up after another operation of the same family."""
    tend_percent: orm.Mapped[int] = orm.mapped_column(default=0)
    """Share of one person that it takes while it runs."""
    setup_loss: orm.Mapped[int] = orm.mapped_column(default=0)
    """Pieces usually lost in setting up."""
    expected_yield: orm.Mapped[Decimal] = orm.mapped_column(Exact(6), default=Decimal(1))
    """Share of good pieces, over 0 and at most 1."""
    taking: orm.Mapped[Taking] = orm.mapped_column(default=Taking.SINGLE)
    cycle_ms: orm.Mapped[int] = orm.mapped_column(sa.BigInteger, default=0)
    """Time of one machine cycle: one piece, one load, one batch, or one piece from a bar."""
    load_pieces: orm.Mapped[int] = orm.mapped_column(default=1)
    """Pieces that one pallet load or one bar holds; pieces that bound a batch."""
    load_ms: orm.Mapped[int] = orm.mapped_column(sa.BigInteger, default=0)
    """Time to load a pallet, or to change a bar."""
    unload_ms: orm.Mapped[int] = orm.mapped_column(sa.BigInteger, default=0, server_default="0")
    """Time to unload a pallet, where that is not part of its loading."""
    batch_grams: orm.Mapped[int] = orm.mapped_column(default=0)
    """Weight that bounds a batch; 0: only the pieces do."""
    recipe: orm.Mapped[str] = orm.mapped_column(default="")
    """Lots share a batch only where their recipes are the same."""
    wait_minutes: orm.Mapped[int] = orm.mapped_column(default=0, server_default="0")
    """So long the forecast lets a batch with room left wait for lots that are expected by then and fit."""
    lead_days: orm.Mapped[int] = orm.mapped_column(default=0)
    send_ahead: orm.Mapped[int] = orm.mapped_column(default=0)
    """Pieces that go on together before the lot is complete; 0: all pieces go on at the end."""
    first_piece: orm.Mapped[bool] = orm.mapped_column(default=False)
    """The first piece must be found good before the run goes on."""
    instructions: orm.Mapped[str] = orm.mapped_column(default="")

    PLANNED = (
        "number",
        "title",
        "setup_seconds",
        "setup_family",
        "family_setup_seconds",
        "tend_percent",
        "setup_loss",
        "expected_yield",
        "taking",
        "cycle_ms",
        "load_pieces",
        "load_ms",
        "unload_ms",
        "batch_grams",
        "recipe",
        "wait_minutes",
        "lead_days",
        "send_ahead",
        "first_piece",
        "instructions",
    )


def plan_checks() -> tuple[sa.CheckConstraint, ...]:
    """Return the constraints that keep an operation's plan true."""
    return (
        sa.CheckConstraint("number BETWEEN 1 AND 999", name="number_range"),
        sa.CheckConstraint("setup_seconds >= 0 AND setup_loss >= 0", name="setup_not_negative"),
        sa.CheckConstraint("family_setup_seconds >= 0", name="family_setup_not_negative"),
        sa.CheckConstraint("tend_percent BETWEEN 0 AND 100", name="tend_range"),
        sa.CheckConstraint("expected_yield > 0 AND expected_yield <= 1000000", name="yield_range"),
        sa.CheckConstraint("cycle_ms >= 0 AND load_ms >= 0", name="times_not_negative"),
        sa.CheckConstraint("unload_ms >= 0", name="unload_not_negative"),
        sa.CheckConstraint("wait_minutes BETWEEN 0 AND 10080", name="wait_range"),
        sa.CheckConstraint("load_pieces >= 1 AND send_ahead >= 0", name="loads_positive"),
        sa.CheckConstraint("batch_grams >= 0 AND lead_days >= 0", name="bounds_not_negative"),
    )


class Routing(Model):
    """One version of the steps that make a revision; an edit makes the next version."""

    __tablename__ = "routing"
    __table_args__ = (sa.UniqueConstraint("revision_id", "version"),)

    id: orm.Mapped[PrimaryKey]
    revision_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("revision.id"), index=True)
    version: orm.Mapped[int]
    created_at: orm.Mapped[datetime]
    created_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    note: orm.Mapped[str] = orm.mapped_column(default="")
    revision: orm.Mapped[Revision] = orm.relationship(back_populates="routings")
    operations: orm.Mapped[list["RoutingOperation"]] = orm.relationship(
        back_populates="routing", cascade="all, delete-orphan", order_by="RoutingOperation.number"
    )


class RoutingOperation(OperationPlan, Model):
    """One step of a routing."""

    __tablename__ = "routing_operation"
    __table_args__ = (sa.UniqueConstraint("routing_id", "number"), *plan_checks())

    id: orm.Mapped[PrimaryKey]
    routing_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("routing.id"), index=True)
    kind_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("operation_kind.id"), index=True)
    work_center_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("work_center.id"), index=True)
    routing: orm.Mapped[Routing] = orm.relationship(back_populates="operations")
    kind: orm.Mapped[OperationKind] = orm.relationship()
    work_center: orm.Mapped[WorkCenter | None] = orm.relationship()
    files: orm.Mapped[list["OperationFile"]] = orm.relationship(
        cascade="all, delete-orphan", order_by="OperationFile.position"
    )
