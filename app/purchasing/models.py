"""Which lots a purchase of blanks was made for."""

import sqlalchemy as sa
from sqlalchemy import orm

from app.lots.models import Lot
from app.material.models import MaterialOrderLine
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
