"""a proposal says what it comes to on average

Revision ID: 0026
Revises: 0025
"""

import sqlalchemy as sa
from alembic import op

revision = "0026"
down_revision = "0025"
branch_labels = None
depends_on = None

COLUMNS = ("expected_seconds_before", "expected_seconds_after", "expected_error", "plans_compared")


def upgrade() -> None:
    with op.batch_alter_table("proposal") as batch:
        for name in COLUMNS:
            batch.add_column(sa.Column(name, sa.BigInteger(), server_default="0", nullable=False))


def downgrade() -> None:
    with op.batch_alter_table("proposal") as batch:
        for name in COLUMNS:
            batch.drop_column(name)
