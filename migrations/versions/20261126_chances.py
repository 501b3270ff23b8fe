"""the chance of being late

Revision ID: 0019
Revises: 0018
"""

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "chance_run",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("change_number", sa.BigInteger(), nullable=False),
        sa.Column("computed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("took_ms", sa.Integer(), nullable=False),
        sa.Column("replications", sa.Integer(), nullable=False),
        sa.Column("seen", sa.Integer(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_chance_run_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_chance_run")),
        sqlite_strict=True,
    )
    op.create_table(
        "lot_chance",
        sa.Column("lot_id", sa.Integer(), nullable=False),
        sa.Column("median_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("likely_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("sure_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("late_permille", sa.Integer(), nullable=True),
        sa.Column("error_permille", sa.Integer(), nullable=True),
        sa.CheckConstraint("late_permille BETWEEN 0 AND 1000", name=op.f("ck_lot_chance_late_range")),
        sa.CheckConstraint("error_permille BETWEEN 0 AND 1000", name=op.f("ck_lot_chance_error_range")),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_lot_chance_lot_id_lot")),
        sa.PrimaryKeyConstraint("lot_id", name=op.f("pk_lot_chance")),
        sqlite_strict=True,
    )


def downgrade() -> None:
    op.drop_table("lot_chance")
    op.drop_table("chance_run")
