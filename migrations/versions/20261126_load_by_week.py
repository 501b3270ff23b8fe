"""what each station does in each week of the forecast

Revision ID: 0021
Revises: 0020
"""

import sqlalchemy as sa
from alembic import op

revision = "0021"
down_revision = "0020"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("station_forecast") as batch:
        batch.add_column(sa.Column("weeks", sa.JSON(), server_default="[]", nullable=False))


def downgrade() -> None:
    with op.batch_alter_table("station_forecast") as batch:
        batch.drop_column("weeks")
