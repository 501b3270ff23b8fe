"""goods that come back: returns, what was decided about them, and lots made of them

Revision ID: 0015
Revises: 0014
"""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None

OUTCOMES = ("ship again", "scrap", "credit")


def upgrade() -> None:
    with op.batch_alter_table("lot") as batch_op:
        batch_op.add_column(sa.Column("is_return", sa.Boolean(), nullable=False, server_default=sa.false()))
    with op.batch_alter_table("lot") as batch_op:
        batch_op.alter_column("is_return", server_default=None)
    op.create_table(
        "goods_return",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("shipment_line_id", sa.Integer(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=False),
        sa.Column("came_on", sa.Date(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("their_reference", sa.Text(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("recorded_by_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["shipment_line_id"], ["shipment_line.id"], name=op.f("fk_goods_return_shipment_line_id_shipment_line")
        ),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_goods_return_lot_id_lot")),
        sa.ForeignKeyConstraint(["recorded_by_id"], ["person.id"], name=op.f("fk_goods_return_recorded_by_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_goods_return")),
        sa.UniqueConstraint("client_key", name=op.f("uq_goods_return_client_key")),
        sa.UniqueConstraint("lot_id", name=op.f("uq_goods_return_lot_id")),
        sa.UniqueConstraint("number", name=op.f("uq_goods_return_number")),
        sqlite_strict=True,
    )
    op.create_index("ix_goods_return_shipment_line_id", "goods_return", ["shipment_line_id"])
    op.create_table(
        "return_decision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("return_id", sa.Integer(), nullable=False),
        sa.Column(
            "outcome",
            sa.Enum(*OUTCOMES, name="outcome", native_enum=False, create_constraint=True, length=40),
            nullable=False,
        ),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("delivery_id", sa.Integer(), nullable=True),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.Column("decided_by_id", sa.Integer(), nullable=True),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("recorded_by_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("pieces >= 1", name=op.f("ck_return_decision_pieces_positive")),
        sa.ForeignKeyConstraint(
            ["return_id"], ["goods_return.id"], name=op.f("fk_return_decision_return_id_goods_return")
        ),
        sa.ForeignKeyConstraint(["delivery_id"], ["delivery.id"], name=op.f("fk_return_decision_delivery_id_delivery")),
        sa.ForeignKeyConstraint(["decided_by_id"], ["person.id"], name=op.f("fk_return_decision_decided_by_id_person")),
        sa.ForeignKeyConstraint(
            ["recorded_by_id"], ["person.id"], name=op.f("fk_return_decision_recorded_by_id_person")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_return_decision")),
        sa.UniqueConstraint("client_key", name=op.f("uq_return_decision_client_key")),
        sqlite_strict=True,
    )
    op.create_index("ix_return_decision_return_id", "return_decision", ["return_id"])
    op.create_index("ix_return_decision_delivery_id", "return_decision", ["delivery_id"])


def downgrade() -> None:
    op.drop_table("return_decision")
    op.drop_table("goods_return")
    with op.batch_alter_table("lot") as batch_op:
        batch_op.drop_column("is_return")
