"""Pieces found out of tolerance, those suspected with them, and what is decided about them."""

from datetime import datetime
from decimal import Decimal
from enum import StrEnum

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot, LotOperation
from app.material.models import Vendor
from app.people.models import Person
from app.quality.models.readings import Reading
from app.shared.database import Model, PrimaryKey
from app.shared.exact import Exact
from app.shared.words import gettext


class Outcome(StrEnum):
    """What becomes of the pieces."""

    REWORK = "rework"
    SCRAP = "scrap"
    USE_AS_IS = "use as is"
    BACK_TO_VENDOR = "back to vendor"

    @property
    def word(self) -> str:
        """Return it as pages name it."""
        words = {
            Outcome.REWORK: gettext("Rework"),
            Outcome.SCRAP: gettext("Scrap"),
            Outcome.USE_AS_IS: gettext("Use as is"),
            Outcome.BACK_TO_VENDOR: gettext("Back to the vendor"),
        }
        return words[self]


class Nonconformance(Model):
    """A reading out of tolerance, and the pieces that may be as bad. Open until something is decided about each."""

    __tablename__ = "nonconformance"
    __table_args__ = (
        sa.CheckConstraint("first_piece BETWEEN 1 AND last_piece", name="pieces_in_order"),
        sa.CheckConstraint("pieces >= 1 AND decided BETWEEN 0 AND pieces", name="decided_range"),
    )

    id: orm.Mapped[PrimaryKey]
    number: orm.Mapped[int] = orm.mapped_column(unique=True)
    reading_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("reading.id"), unique=True)
    found_at_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot_operation.id"), index=True)
    """The operation at which it was found."""
    lot_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot.id"), index=True)
    """The lot that is on hold for it: the one it was found in, or the suspect pieces split off from it."""
    first_piece: orm.Mapped[int]
    last_piece: orm.Mapped[int]
    pieces: orm.Mapped[int]
    decided: orm.Mapped[int] = orm.mapped_column(default=0)
    """About how many something is decided."""
    opened_at: orm.Mapped[datetime] = orm.mapped_column(index=True)
    closed_at: orm.Mapped[datetime | None] = orm.mapped_column(index=True)
    found_how: orm.Mapped[str] = orm.mapped_column(default="")
    """How it was found once the pieces had left the operation; empty: where it was measured."""
    reading: orm.Mapped[Reading] = orm.relationship()
    found_at: orm.Mapped[LotOperation] = orm.relationship()
    lot: orm.Mapped[Lot] = orm.relationship()
    dispositions: orm.Mapped[list["Disposition"]] = orm.relationship(
        back_populates="nonconformance", order_by=lambda: Disposition.id
    )

    @property
    def left(self) -> int:
        """Return about how many pieces nothing is decided yet."""
        return self.pieces - self.decided


class Disposition(Model):
    """What was decided about some of the pieces, by whom; where they moved, the ledger's posting says so."""

    __tablename__ = "disposition"
    __table_args__ = (
        sa.CheckConstraint("pieces >= 1", name="pieces_positive"),
        sa.CheckConstraint("cost >= 0", name="cost_not_negative"),
        sa.CheckConstraint("outcome <> 'use as is' OR length(agreed_by) >= 1", name="as_is_is_agreed"),
    )

    id: orm.Mapped[PrimaryKey]
    nonconformance_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("nonconformance.id"), index=True)
    outcome: orm.Mapped[Outcome]
    pieces: orm.Mapped[int]
    to_operation_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("lot_operation.id"))
    """For rework: where the pieces go on."""
    cost: orm.Mapped[Decimal | None] = orm.mapped_column(Exact(4))
    """For scrap: what is lost, in the shop's money."""
    agreed_by: orm.Mapped[str] = orm.mapped_column(default="")
    """For use as is: who at the customer agreed."""
    vendor_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("vendor.id"))
    reason: orm.Mapped[str] = orm.mapped_column(default="")
    posting_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("posting.id"))
    person_id: orm.Mapped[int | None] = orm.mapped_column(sa.ForeignKey("person.id"))
    recorded_at: orm.Mapped[datetime]
    client_key: orm.Mapped[str] = orm.mapped_column(unique=True)
    content_hash: orm.Mapped[str]
    nonconformance: orm.Mapped[Nonconformance] = orm.relationship(back_populates="dispositions")
    to_operation: orm.Mapped[LotOperation | None] = orm.relationship()
    vendor: orm.Mapped[Vendor | None] = orm.relationship()
    person: orm.Mapped[Person | None] = orm.relationship()
