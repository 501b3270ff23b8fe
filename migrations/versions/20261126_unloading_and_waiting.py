"""pallets have a time to unload, and a batch may wait for others that are expected

Revision ID: 0027
Revises: 0026
"""

import sqlalchemy as sa
from alembic import op

revision = "0027"
down_revision = "0026"
branch_labels = None
depends_on = None

TABLES = ("routing_operation", "lot_operation")


def upgrade() -> None:
    for table in TABLES:
        with op.batch_alter_table(table) as batch:
            batch.add_column(sa.Column("unload_ms", sa.BigInteger(), server_default="0", nullable=False))
            batch.add_column(sa.Column("wait_minutes", sa.Integer(), server_default="0", nullable=False))
            batch.create_check_constraint("unload_not_negative", "unload_ms >= 0")
            batch.create_check_constraint("wait_range", "wait_minutes BETWEEN 0 AND 10080")


def downgrade() -> None:
    for table in TABLES:
        with op.batch_alter_table(table) as batch:
            batch.drop_constraint(op.f(f"ck_{table}_wait_range"), type_="check")
            batch.drop_constraint(op.f(f"ck_{table}_unload_not_negative"), type_="check")
            batch.drop_column("wait_minutes")
            batch.drop_column("unload_ms")
