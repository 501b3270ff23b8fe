"""forecasts keep what stands in a lot's way as data, no longer as an English sentence

A sentence cannot be turned back into data: what was stored is dropped, and the planner, which makes a forecast each
minute, writes it anew.

Revision ID: 0005
Revises: 0004
"""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("lot_forecast") as table:
        table.drop_column("reason")
        table.add_column(sa.Column("obstacle", sa.JSON(), nullable=True))


def downgrade() -> None:
    with op.batch_alter_table("lot_forecast") as table:
        table.drop_column("obstacle")
        table.add_column(sa.Column("reason", sa.Text(), nullable=False, server_default=""))
    with op.batch_alter_table("lot_forecast") as table:
        table.alter_column("reason", server_default=None, existing_type=sa.Text())
