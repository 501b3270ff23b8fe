"""Which lots a purchase of blanks was made for, and how its expected date was moved."""

from datetime import date, datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot
from app.material.models import MaterialOrderLine
from app.people.models import Person
from app.shared.database import Model, PrimaryKey


class Purpose(Model):
    """Pieces of a material order line that are meant for a lot; receipts are offered to these lots first."""

    __tablename__ = "purpose"
    __table_args__ = (
        sa.UniqueConstraint("line_id", "lot_id"),
        sa.CheckConstraint("pieces >= 1", name="pieces_positive"),
    )
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    line_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("material_order_line.id"), index=True)
    lot_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("lot.id"), index=True)
    pieces: orm.Mapped[int]
    line: orm.Mapped[MaterialOrderLine] = orm.relationship()
    lot: orm.Mapped[Lot] = orm.relationship()


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
