"""a lease for each kind of work that one process at a time does

Revision ID: 0003
Revises: 0002
"""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    # No row is carried over: a lease runs out within seconds, and no server runs during an upgrade.
    op.create_table(
        "lease",
        sa.Column("work", sa.Text(), nullable=False),
        sa.Column("holder", sa.Text(), nullable=False),
        sa.Column("heartbeat_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("work", name=op.f("pk_lease")),
        sqlite_strict=True,
    )
    op.drop_table("planner_lease")


def downgrade() -> None:
    op.create_table(
        "planner_lease",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("holder", sa.Text(), nullable=False),
        sa.Column("heartbeat_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_planner_lease_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_planner_lease")),
        sqlite_strict=True,
    )
    op.drop_table("lease")
