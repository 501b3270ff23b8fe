"""Lots, their frozen operations with the jobs that are open there, and the deliveries they serve."""

from datetime import date, datetime
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy import orm

from app.orders.models import Delivery
from app.parts.models import CharacteristicPlan, GaugeKind, OperationKind, OperationPlan, Part, Revision, StoredFile
from app.parts.models.characteristics import characteristic_checks
from app.parts.models.routings import plan_checks
from app.people.models import Person
from app.shared.database import Model, PrimaryKey, looked_up
from app.stations.models import Station, WorkCenter


class Lot(Model):
    """The pieces that travel together under one traveler. Its counts are a cache of the piece ledger."""

    __tablename__ = "lot"
    __table_args__ = (
        sa.CheckConstraint("needed >= 0", name="needed_not_negative"),
        sa.CheckConstraint(
            "started >= 0 AND in_stock >= 0 AND shipped >= 0 AND in_other_lots >= 0", name="counts_not_negative"
        ),
    )
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    number: orm.Mapped[int] = orm.mapped_column(unique=True)
    """The number in the lot's scan code."""
    revision_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("revision.id"), index=True)
    routing_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("routing.id"), index=True)
    parent_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("lot.id"), index=True)
    """The lot it was split from, or whose shipped pieces came back as this one."""
    is_return: orm.Mapped[bool] = orm.mapped_column(default=False)
    """Its pieces came back from a customer: they take no blanks."""
    needed: orm.Mapped[int]
    """Good pieces wanted at the end."""
    start_reason: orm.Mapped[str] = orm.mapped_column(default="")
    """Why this quantity was started, as it was shown at release."""
    due_on: orm.Mapped[date | None]
    """The day the first unfilled delivery must leave; for stock, a wished date or nothing."""
    rush: orm.Mapped[bool] = orm.mapped_column(default=False)
    pin: orm.Mapped[int | None]
    """Place given by hand; a lower number runs sooner."""
    hold_reason: orm.Mapped[str] = orm.mapped_column(default="")
    """Not empty: the whole lot is on hold."""
    released_at: orm.Mapped[datetime]
    released_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    closed_at: orm.Mapped[datetime | None] = orm.mapped_column(index=True)
    """Set when no piece of it is left in an operation."""
    started: orm.Mapped[int] = orm.mapped_column(default=0)
    in_stock: orm.Mapped[int] = orm.mapped_column(default=0)
    shipped: orm.Mapped[int] = orm.mapped_column(default=0)
    in_other_lots: orm.Mapped[int] = orm.mapped_column(default=0)
    revision: orm.Mapped[Revision] = looked_up()
    operations: orm.Mapped[list["LotOperation"]] = orm.relationship(
        primaryjoin=lambda: sa.and_(Lot.id == LotOperation.lot_id, ~LotOperation.removed),
        back_populates="lot",
        order_by="LotOperation.number",
        cascade="all, delete-orphan",
    )
    """Those that are its routing now, also the skipped ones; removed ones are kept for the ledger alone."""
    deliveries: orm.Mapped[list["LotDelivery"]] = orm.relationship(back_populates="lot", cascade="all, delete-orphan")

    @property
    def on_hold(self) -> bool:
        """Say whether the whole lot is on hold."""
        return bool(self.hold_reason)


class LotOperation(OperationPlan, Model):
    """A lot's own copy of a routing operation, with the counts of its pieces there (a cache of the ledger)."""

    __tablename__ = "lot_operation"
    __table_args__ = (
        sa.Index(
            "uq_lot_operation_number_in_use",
            "lot_id",
            "number",
            unique=True,
            sqlite_where=sa.text("NOT removed"),
            postgresql_where=sa.text("NOT removed"),
        ),
        sa.CheckConstraint("skipped OR NOT removed", name="removed_is_skipped"),
        sa.CheckConstraint("split_over BETWEEN 1 AND 9", name="split_range"),
        sa.CheckConstraint(
            "waiting >= 0 AND in_work >= 0 AND counted >= 0 AND held >= 0 AND scrapped >= 0 AND passed >= 0 "
            "AND at_vendor >= 0",
            name="counts_not_negative",
        ),
        *plan_checks(),
    )
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    lot_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot.id"), index=True)
    code_number: orm.Mapped[int] = orm.mapped_column(unique=True)
    """The number in the operation's scan code."""
    kind_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("operation_kind.id"), index=True)
    work_center_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("work_center.id"), index=True)
    sent_to_station_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("station.id"), index=True)
    """The one station of the work center that it is sent to; missing: any. A cache of its last ``Sending``."""
    split_over: orm.Mapped[int] = orm.mapped_column(default=1, server_default="1")
    """Its pieces are divided evenly over so many stations of the work center."""
    skipped: orm.Mapped[bool] = orm.mapped_column(default=False)
    """Pieces pass over it: it is not to be done in this lot."""
    removed: orm.Mapped[bool] = orm.mapped_column(default=False)
    """A later revision's operations took its place; its code answers so. What is removed is skipped too."""
    measured: orm.Mapped[bool] = orm.mapped_column(default=False)
    """It has characteristics of its own, so that who asks for what is due there need not look."""
    waiting: orm.Mapped[int] = orm.mapped_column(default=0)
    in_work: orm.Mapped[int] = orm.mapped_column(default=0)
    counted: orm.Mapped[int] = orm.mapped_column(default=0)
    held: orm.Mapped[int] = orm.mapped_column(default=0)
    scrapped: orm.Mapped[int] = orm.mapped_column(default=0)
    """Pieces found to be scrap at this operation, whichever operation caused it."""
    at_vendor: orm.Mapped[int] = orm.mapped_column(default=0)
    """Pieces that went back from here to the vendor of their blanks or of the work: no scrap of the shop."""
    passed: orm.Mapped[int] = orm.mapped_column(default=0)
    """Net pieces that have gone on from here as good; rework takes them back."""
    lot: orm.Mapped[Lot] = orm.relationship(back_populates="operations")
    kind: orm.Mapped[OperationKind] = looked_up()
    work_center: orm.Mapped[WorkCenter | None] = looked_up()
    sent_to: orm.Mapped[Station | None] = looked_up()
    components: orm.Mapped[list["LotComponent"]] = orm.relationship(
        back_populates="operation", cascade="all, delete-orphan", order_by="LotComponent.id"
    )
    characteristics: orm.Mapped[list["LotCharacteristic"]] = orm.relationship(
        back_populates="operation", cascade="all, delete-orphan", order_by="LotCharacteristic.number"
    )
    sheets: orm.Mapped[list["LotSheet"]] = orm.relationship(
        cascade="all, delete-orphan", order_by=lambda: (LotSheet.position, LotSheet.id)
    )
    jobs: orm.Mapped[list["Job"]] = looked_up(order_by="Job.id")
    """The open ones at all stations, read together with a lot that is locked."""

    @property
    def present(self) -> int:
        """Return how many pieces are at this operation."""
        return self.waiting + self.in_work + self.counted + self.held

    @property
    def done(self) -> int:
        """Return how many pieces are done with here: those that passed, and those that left the count as bad."""
        return self.passed + self.scrapped + self.at_vendor

    def job_at(self, station_id: int | None) -> "Job | None":
        """Return the job that is open at a station."""
        return next((job for job in self.jobs if job.station_id == station_id), None)


class JobState(StrEnum):
    """What an open job is doing."""

    SETTING_UP = "setting up"
    RUNNING = "running"
    PAUSED = "paused"


class Job(Model):
    """An operation of a lot that is open at a station now: a cache of the ledger's marks; ended jobs are deleted."""

    __tablename__ = "job"
    __table_args__ = (sa.UniqueConstraint("operation_id", "station_id"),)
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    operation_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot_operation.id"), index=True)
    station_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("station.id"), index=True)
    state: orm.Mapped[JobState]
    pieces: orm.Mapped[int]
    """Pieces of the operation that are in work or counted at this station."""
    batch_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("posting.id"))
    """Jobs begun together as one batch carry the posting that began it."""
    begun_at: orm.Mapped[datetime]
    state_since: orm.Mapped[datetime]
    person_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    first_piece_good: orm.Mapped[bool] = orm.mapped_column(default=False)
    operation: orm.Mapped[LotOperation] = looked_up()
    station: orm.Mapped[Station] = looked_up()
    person: orm.Mapped[Person | None] = looked_up()


class LotDelivery(Model):
    """How many pieces of a lot are meant for a delivery."""

    __tablename__ = "lot_delivery"
    __table_args__ = (
        sa.UniqueConstraint("lot_id", "delivery_id"),
        sa.CheckConstraint("quantity >= 1", name="quantity_positive"),
        sa.CheckConstraint("shipped BETWEEN 0 AND quantity", name="shipped_range"),
    )
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    lot_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot.id"), index=True)
    delivery_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("delivery.id"), index=True)
    quantity: orm.Mapped[int]
    shipped: orm.Mapped[int] = orm.mapped_column(default=0)
    """How many of them have left; more than were meant raise ``quantity``."""
    lot: orm.Mapped[Lot] = orm.relationship(back_populates="deliveries")
    delivery: orm.Mapped[Delivery] = orm.relationship()

    @property
    def open(self) -> bool:
        """Say whether the delivery still waits for pieces of this lot.

        It does not where it has moved on to another revision since.
        """
        return self.delivery.closed_at is None and self.shipped < self.quantity and self.of_the_revision

    @property
    def of_the_revision(self) -> bool:
        """Say whether the lot is of the revision that the delivery asks for now."""
        return self.lot.revision_id == self.delivery.line.revision_id


class LotComponent(Model):
    """A component that a lot's operation takes, frozen with the routing."""

    __tablename__ = "lot_component"
    __table_args__ = (sa.CheckConstraint("per_piece >= 1", name="per_piece_positive"),)

    id: orm.Mapped[PrimaryKey]
    operation_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot_operation.id"), index=True)
    part_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("part.id"))
    per_piece: orm.Mapped[int]
    operation: orm.Mapped[LotOperation] = orm.relationship(back_populates="components")
    part: orm.Mapped[Part] = looked_up()


class LotCharacteristic(CharacteristicPlan, Model):
    """What is measured at a lot's operation, frozen with the routing."""

    __tablename__ = "lot_characteristic"
    __table_args__ = (
        sa.UniqueConstraint("operation_id", "number"),
        sa.ForeignKeyConstraint(["gauge_kind_id"], ["gauge_kind.id"]),
        *characteristic_checks(),
    )

    id: orm.Mapped[PrimaryKey]
    operation_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot_operation.id"))
    characteristic_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("characteristic.id"), index=True)
    """What it was copied from: the same characteristic in every lot."""
    operation: orm.Mapped[LotOperation] = orm.relationship(back_populates="characteristics")
    gauge_kind: orm.Mapped[GaugeKind | None] = looked_up()


class LotSheet(Model):
    """A drawing or set-up sheet of a lot's operation, frozen with the routing: a stored file never changes."""

    __tablename__ = "lot_sheet"

    id: orm.Mapped[PrimaryKey]
    operation_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot_operation.id"), index=True)
    file_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("stored_file.id"))
    title: orm.Mapped[str]
    position: orm.Mapped[int]
    file: orm.Mapped[StoredFile] = looked_up()


class TravelerPrint(Model):
    """When and by whom a lot's traveler was printed, or put among the paper files: of those the last alone is kept."""

    __tablename__ = "traveler_print"

    id: orm.Mapped[PrimaryKey]
    lot_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot.id"), index=True)
    printed_at: orm.Mapped[datetime]
    printed_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    in_files: orm.Mapped[bool] = orm.mapped_column(default=False, server_default=sa.false())
    """It was written by the program as a file that anybody may print."""
    issue: orm.Mapped[int] = orm.mapped_column(default=1, server_default="1")
    """1: the lot as released; each change of the lot makes the next."""
