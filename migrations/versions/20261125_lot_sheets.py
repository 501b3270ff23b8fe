"""a released lot keeps the drawings and set-up sheets that it was released with

Lots that exist keep what they show now. Nothing else asked where a lot's operation was copied from.

Revision ID: 0004
Revises: 0003
"""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "lot_sheet",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("operation_id", sa.Integer(), nullable=False),
        sa.Column("file_id", sa.Integer(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["file_id"], ["stored_file.id"], name=op.f("fk_lot_sheet_file_id_stored_file")),
        sa.ForeignKeyConstraint(
            ["operation_id"], ["lot_operation.id"], name=op.f("fk_lot_sheet_operation_id_lot_operation")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lot_sheet")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_lot_sheet_operation_id"), "lot_sheet", ["operation_id"])
    op.execute(
        "INSERT INTO lot_sheet (operation_id, file_id, title, position) "
        "SELECT lot_operation.id, operation_file.file_id, operation_file.title, operation_file.position "
        "FROM lot_operation JOIN operation_file "
        "ON operation_file.routing_operation_id = lot_operation.routing_operation_id "
        "ORDER BY lot_operation.id, operation_file.position, operation_file.id"
    )
    with op.batch_alter_table("lot_operation") as table:
        table.drop_index(op.f("ix_lot_operation_routing_operation_id"))
        table.drop_constraint(op.f("fk_lot_operation_routing_operation_id_routing_operation"), type_="foreignkey")
        table.drop_column("routing_operation_id")


def downgrade() -> None:
    with op.batch_alter_table("lot_operation") as table:
        table.add_column(sa.Column("routing_operation_id", sa.Integer(), nullable=True))
        table.create_foreign_key(
            op.f("fk_lot_operation_routing_operation_id_routing_operation"),
            "routing_operation",
            ["routing_operation_id"],
            ["id"],
        )
        table.create_index(op.f("ix_lot_operation_routing_operation_id"), ["routing_operation_id"])
    op.execute(
        "UPDATE lot_operation SET routing_operation_id = ("
        "SELECT routing_operation.id FROM routing_operation JOIN lot ON lot.routing_id = routing_operation.routing_id "
        "WHERE lot.id = lot_operation.lot_id AND routing_operation.number = lot_operation.number)"
    )
    op.drop_table("lot_sheet")
