"""an operation of a lot can be split over several stations

Revision ID: 0024
Revises: 0023
"""

import sqlalchemy as sa
from alembic import op

revision = "0024"
down_revision = "0023"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("lot_operation") as batch:
        batch.add_column(sa.Column("split_over", sa.Integer(), server_default="1", nullable=False))
        batch.create_check_constraint("split_range", "split_over BETWEEN 1 AND 9")


def downgrade() -> None:
    with op.batch_alter_table("lot_operation") as batch:
        batch.drop_constraint(op.f("ck_lot_operation_split_range"), type_="check")
        batch.drop_column("split_over")
