"""Parts and the issues of their drawings."""

from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING

import sqlalchemy as sa
from sqlalchemy import orm

from app.shared.database import Model, PrimaryKey
from app.shared.exact import Exact
from app.shared.words import gettext

if TYPE_CHECKING:
    from app.parts.models.routings import Routing


class BlankSource(StrEnum):
    """Who provides the blank."""

    VENDOR = "vendor"
    CUSTOMER = "customer"

    @property
    def word(self) -> str:
        """Return who that is, as pages name it."""
        return gettext("Vendor") if self is BlankSource.VENDOR else gettext("Customer")


class BlankForm(StrEnum):
    """In what unit the blank is bought."""

    PIECE = "piece"
    PLATE = "plate"
    BAR = "bar"

    @property
    def word(self) -> str:
        """Return the unit as pages name it."""
        words = {BlankForm.PIECE: gettext("Piece"), BlankForm.PLATE: gettext("Plate"), BlankForm.BAR: gettext("Bar")}
        return words[self]


class Part(Model):
    """What is made, or a bought item that goes into another part (then no revision of it has a routing)."""

    __tablename__ = "part"
    __table_args__ = (sa.CheckConstraint("length(number) BETWEEN 1 AND 60", name="number_length"),)

    id: orm.Mapped[PrimaryKey]
    number: orm.Mapped[str] = orm.mapped_column(unique=True)
    name: orm.Mapped[str]
    active: orm.Mapped[bool] = orm.mapped_column(default=True)
    revisions: orm.Mapped[list["Revision"]] = orm.relationship(back_populates="part", order_by="Revision.id")
    current_revision: orm.Mapped["Revision | None"] = orm.relationship(
        primaryjoin="and_(Part.id == Revision.part_id, Revision.current)", viewonly=True
    )
    """The revision offered for new orders."""


class Revision(Model):
    """One issue of a part's drawing, with the blank it is cut from."""

    __tablename__ = "revision"
    __table_args__ = (
        sa.UniqueConstraint("part_id", "label"),
        sa.CheckConstraint("length(label) BETWEEN 1 AND 12", name="label_length"),
        sa.CheckConstraint("pieces_per_unit >= 1", name="pieces_per_unit_positive"),
        sa.CheckConstraint("blank_lead_days >= 0", name="blank_lead_days_not_negative"),
        sa.CheckConstraint("blank_grams >= 0 AND piece_grams >= 0", name="weights_not_negative"),
        sa.CheckConstraint("blank_price >= 0", name="price_not_negative"),
    )
    read_by_planner = True

    id: orm.Mapped[PrimaryKey]
    part_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("part.id"), index=True)
    label: orm.Mapped[str]
    current: orm.Mapped[bool] = orm.mapped_column(default=True)
    """The revision offered for new orders; a part has at most one."""
    material: orm.Mapped[str] = orm.mapped_column(default="")
    blank: orm.Mapped[str] = orm.mapped_column(default="")
    blank_source: orm.Mapped[BlankSource] = orm.mapped_column(default=BlankSource.VENDOR)
    blank_form: orm.Mapped[BlankForm] = orm.mapped_column(default=BlankForm.PIECE)
    pieces_per_unit: orm.Mapped[int] = orm.mapped_column(default=1)
    """How many pieces are cut from one bought piece, plate or bar."""
    blank_lead_days: orm.Mapped[int] = orm.mapped_column(default=0)
    """Calendar days from order to receipt."""
    blank_price: orm.Mapped[Decimal] = orm.mapped_column(Exact(4), default=Decimal(0))
    """Price of one bought piece, plate or bar."""
    blank_grams: orm.Mapped[int] = orm.mapped_column(default=0)
    """Weight of the blank of one piece; 0: not known."""
    piece_grams: orm.Mapped[int] = orm.mapped_column(default=0)
    """Weight of one finished piece; 0: not known."""
    part: orm.Mapped[Part] = orm.relationship(back_populates="revisions")
    routings: orm.Mapped[list["Routing"]] = orm.relationship(back_populates="revision", order_by="Routing.version")
    components: orm.Mapped[list["Component"]] = orm.relationship(
        foreign_keys="Component.revision_id", cascade="all, delete-orphan", order_by="Component.operation_number"
    )


class Component(Model):
    """A part or bought item that goes into each piece of a revision, fitted at one of its operations."""

    __tablename__ = "component"
    __table_args__ = (
        sa.UniqueConstraint("revision_id", "part_id", "operation_number"),
        sa.CheckConstraint("per_piece >= 1", name="per_piece_positive"),
    )

    id: orm.Mapped[PrimaryKey]
    revision_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("revision.id"), index=True)
    part_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("part.id"), index=True)
    operation_number: orm.Mapped[int]
    per_piece: orm.Mapped[int] = orm.mapped_column(default=1)
    part: orm.Mapped[Part] = orm.relationship()
