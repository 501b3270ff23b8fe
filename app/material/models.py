"""Vendors, orders of blanks, what came in, and what was issued to lots."""

from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy import orm

from app.core.scan_code import CodeKind, format_code
from app.parts.models import BlankForm, Part, Revision
from app.people.models import Person
from app.shared.database import Model, PrimaryKey, looked_up
from app.shared.exact import Exact


class Origin(StrEnum):
    """Where what came in is from."""

    BOUGHT = "bought"
    CUSTOMER = "customer-supplied"
    FOUND = "found in the shop"


class BlankOrComponent:
    """What a line or receipt is of: blanks of a revision, or a part that is bought as it is."""

    revision: orm.Mapped[Revision | None]
    part: orm.Mapped[Part | None]

    @property
    def item(self) -> str:
        """Return what it is in a few words: ``HB-100 A`` for blanks of that revision, ``PIN-6`` for a component."""
        if self.revision is not None:
            return f"{self.revision.part.number} {self.revision.label}"
        return self.part.number if self.part else ""

    @property
    def item_name(self) -> str:
        """Return the part's name."""
        part = self.revision.part if self.revision else self.part
        return part.name if part else ""


class Vendor(Model):
    """Somebody blanks, bought components or outside work come from."""

    __tablename__ = "vendor"
    __table_args__ = (sa.CheckConstraint("length(name) BETWEEN 1 AND 80", name="name_length"),)

    id: orm.Mapped[PrimaryKey]
    name: orm.Mapped[str] = orm.mapped_column(unique=True)
    contact: orm.Mapped[str] = orm.mapped_column(default="")
    active: orm.Mapped[bool] = orm.mapped_column(default=True)


class MaterialOrder(Model):
    """A purchase from one vendor."""

    __tablename__ = "material_order"

    id: orm.Mapped[PrimaryKey]
    vendor_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("vendor.id"), index=True)
    their_number: orm.Mapped[str] = orm.mapped_column(default="")
    ordered_on: orm.Mapped[date]
    ordered_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    client_key: orm.Mapped[str | None] = orm.mapped_column(unique=True, index=True)
    """The key of the form it was typed in: the same key never counts twice. Older purchases have none."""
    content_hash: orm.Mapped[str | None]
    """A fingerprint of what was typed."""
    vendor: orm.Mapped[Vendor] = orm.relationship()
    ordered_by: orm.Mapped[Person | None] = looked_up()
    lines: orm.Mapped[list["MaterialOrderLine"]] = orm.relationship(
        back_populates="order", order_by="MaterialOrderLine.id"
    )


class MaterialOrderLine(BlankOrComponent, Model):
    """Blanks of one revision, or a bought component, in the vendor's unit."""

    __tablename__ = "material_order_line"
    __table_args__ = (
        sa.CheckConstraint("(revision_id IS NULL) <> (part_id IS NULL)", name="blank_or_component"),
        sa.CheckConstraint("units >= 1 AND pieces_per_unit >= 1", name="quantities_positive"),
        sa.CheckConstraint("unit_price >= 0", name="price_not_negative"),
    )
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    order_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("material_order.id"), index=True)
    revision_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("revision.id"), index=True)
    part_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("part.id"), index=True)
    unit: orm.Mapped[BlankForm] = orm.mapped_column(default=BlankForm.PIECE)
    units: orm.Mapped[int]
    pieces_per_unit: orm.Mapped[int] = orm.mapped_column(default=1)
    unit_price: orm.Mapped[Decimal] = orm.mapped_column(Exact(4), default=Decimal(0))
    expected_on: orm.Mapped[date]
    closed_at: orm.Mapped[datetime | None] = orm.mapped_column(index=True)
    """Set when all has come in, or when the rest is no longer expected."""
    order: orm.Mapped[MaterialOrder] = orm.relationship(back_populates="lines")
    revision: orm.Mapped[Revision | None] = orm.relationship()
    part: orm.Mapped[Part | None] = orm.relationship()
    receipts: orm.Mapped[list["Receipt"]] = orm.relationship(back_populates="line", order_by="Receipt.number")

    @property
    def pieces(self) -> int:
        """Return how many pieces were ordered."""
        return self.units * self.pieces_per_unit

    @property
    def accepted(self) -> int:
        """Return how many good pieces have come in."""
        return sum(receipt.pieces for receipt in self.receipts)

    @property
    def still_expected(self) -> int:
        """Return how many good pieces are still to come: none once the line is closed."""
        return 0 if self.closed_at else max(0, self.pieces - self.accepted)


class ExpectedChange(Model):
    """The day a line was expected on before it was moved, and why; the earliest one is the first promise."""

    __tablename__ = "expected_change"
    __table_args__ = (sa.CheckConstraint("length(reason) >= 1", name="reason_given"),)

    id: orm.Mapped[PrimaryKey]
    line_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("material_order_line.id"), index=True)
    expected_before: orm.Mapped[date]
    reason: orm.Mapped[str]
    changed_at: orm.Mapped[datetime]
    changed_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    line: orm.Mapped[MaterialOrderLine] = orm.relationship()
    changed_by: orm.Mapped[Person | None] = orm.relationship()


class Receipt(BlankOrComponent, Model):
    """What came in at one time under one heat; ``line`` is missing for customer-supplied blanks and found stock."""

    __tablename__ = "receipt"
    __table_args__ = (
        sa.CheckConstraint("(revision_id IS NULL) <> (part_id IS NULL)", name="blank_or_component"),
        sa.CheckConstraint("pieces >= 0 AND rejected >= 0 AND issued >= 0", name="counts_not_negative"),
        sa.CheckConstraint("issued <= pieces", name="issued_at_most_received"),
    )
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    number: orm.Mapped[int] = orm.mapped_column(unique=True)
    """The number in the receipt's scan code."""
    line_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("material_order_line.id"), index=True)
    expected_on: orm.Mapped[date | None]
    """The day it was expected on when it came in; a vendor's usual delay is reckoned from it."""
    origin: orm.Mapped[Origin] = orm.mapped_column(default=Origin.BOUGHT)
    revision_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("revision.id"), index=True)
    part_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("part.id"), index=True)
    heat: orm.Mapped[str] = orm.mapped_column(default="", index=True)
    pieces: orm.Mapped[int]
    """Accepted pieces."""
    rejected: orm.Mapped[int] = orm.mapped_column(default=0)
    reject_reason: orm.Mapped[str] = orm.mapped_column(default="")
    note: orm.Mapped[str] = orm.mapped_column(default="")
    issued: orm.Mapped[int] = orm.mapped_column(default=0)
    """How many of ``pieces`` have been issued: a cache of the issues, which ``verify`` recomputes."""
    received_on: orm.Mapped[date]
    recorded_at: orm.Mapped[datetime]
    recorded_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    line: orm.Mapped[MaterialOrderLine | None] = orm.relationship(back_populates="receipts")
    revision: orm.Mapped[Revision | None] = orm.relationship()
    part: orm.Mapped[Part | None] = orm.relationship()
    recorded_by: orm.Mapped[Person | None] = looked_up()
    issues: orm.Mapped[list["Issue"]] = orm.relationship(back_populates="receipt", order_by="Issue.id")
    corrections: orm.Mapped[list["ReceiptCorrection"]] = orm.relationship(
        back_populates="receipt", order_by="ReceiptCorrection.id"
    )

    @property
    def at_hand(self) -> int:
        """Return how many accepted pieces have not been issued."""
        return self.pieces - self.issued

    @property
    def code(self) -> str:
        """Return the scan code on its label."""
        return format_code(CodeKind.RECEIPT, self.number)


class ReceiptCorrection(Model):
    """What a receipt said before it was put right, why, when and by whom."""

    __tablename__ = "receipt_correction"
    __table_args__ = (sa.CheckConstraint("length(reason) >= 1", name="reason_given"),)

    id: orm.Mapped[PrimaryKey]
    receipt_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("receipt.id"), index=True)
    pieces_before: orm.Mapped[int]
    rejected_before: orm.Mapped[int]
    heat_before: orm.Mapped[str]
    reason: orm.Mapped[str]
    corrected_at: orm.Mapped[datetime]
    corrected_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    receipt: orm.Mapped[Receipt] = orm.relationship(back_populates="corrections")
    corrected_by: orm.Mapped[Person | None] = looked_up()


class Issue(Model):
    """Pieces of a receipt issued to a lot, as its blanks or as a component; negative pieces take an issue back."""

    __tablename__ = "issue"
    __table_args__ = (sa.CheckConstraint("pieces <> 0", name="pieces_not_zero"),)

    id: orm.Mapped[PrimaryKey]
    receipt_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("receipt.id"), index=True)
    lot_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot.id"), index=True)
    pieces: orm.Mapped[int]
    issued_at: orm.Mapped[datetime]
    issued_by_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    receipt: orm.Mapped[Receipt] = orm.relationship(back_populates="issues")
    issued_by: orm.Mapped[Person | None] = looked_up()
