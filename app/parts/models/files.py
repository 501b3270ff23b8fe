"""Drawings and set-up sheets, kept in the database so that one backup holds everything."""

from datetime import datetime

import sqlalchemy as sa
from sqlalchemy import orm

from app.shared.database import Model, PrimaryKey


class StoredFile(Model):
    """A file as it was uploaded; the same bytes are stored once."""

    __tablename__ = "stored_file"

    id: orm.Mapped[PrimaryKey]
    sha256: orm.Mapped[str] = orm.mapped_column(unique=True)
    name: orm.Mapped[str]
    media_type: orm.Mapped[str]
    data: orm.Mapped[bytes] = orm.mapped_column(sa.LargeBinary, deferred=True)
    stored_at: orm.Mapped[datetime]
    pages: orm.Mapped[list["StoredPage"]] = orm.relationship(
        back_populates="file", cascade="all, delete-orphan", order_by="StoredPage.number"
    )


class StoredPage(Model):
    """One page of a file as a PNG picture that any tablet shows."""

    __tablename__ = "stored_page"
    __table_args__ = (sa.UniqueConstraint("file_id", "number"),)

    id: orm.Mapped[PrimaryKey]
    file_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("stored_file.id"), index=True)
    number: orm.Mapped[int]
    width: orm.Mapped[int]
    height: orm.Mapped[int]
    png: orm.Mapped[bytes] = orm.mapped_column(sa.LargeBinary, deferred=True)
    file: orm.Mapped[StoredFile] = orm.relationship(back_populates="pages")


class OperationFile(Model):
    """A drawing or set-up sheet shown at one operation of a routing."""

    __tablename__ = "operation_file"

    id: orm.Mapped[PrimaryKey]
    routing_operation_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("routing_operation.id"), index=True)
    file_id: orm.Mapped[int] = orm.mapped_column(sa.ForeignKey("stored_file.id"), index=True)
    title: orm.Mapped[str]
    position: orm.Mapped[int] = orm.mapped_column(default=0)
    file: orm.Mapped[StoredFile] = orm.relationship()
