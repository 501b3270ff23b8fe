"""purchases count once; a forecast can say that a component is missing

Revision ID: 0007
Revises: 0006
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

BEFORE = ("expected", "held", "no blanks", "no station", "no open hours", "bad input")


def allowed(names: tuple[str, ...]) -> str:
    return "outlook IN (" + ", ".join(f"'{name}'" for name in names) + ")"


def upgrade() -> None:
    with op.batch_alter_table("material_order") as batch_op:
        batch_op.add_column(sa.Column("client_key", sa.Text(), nullable=True))
        batch_op.add_column(sa.Column("content_hash", sa.Text(), nullable=True))
        batch_op.create_index("ix_material_order_client_key", ["client_key"], unique=True)
    with op.batch_alter_table("lot_forecast") as batch_op:
        batch_op.drop_constraint("outlook", type_="check")
        batch_op.create_check_constraint("outlook", allowed((*BEFORE, "no components")))


def downgrade() -> None:
    op.execute("DELETE FROM lot_forecast WHERE outlook = 'no components'")  # the planner writes them anew
    with op.batch_alter_table("lot_forecast") as batch_op:
        batch_op.drop_constraint("outlook", type_="check")
        batch_op.create_check_constraint("outlook", allowed(BEFORE))
    with op.batch_alter_table("material_order") as batch_op:
        batch_op.drop_index("ix_material_order_client_key")
        batch_op.drop_column("content_hash")
        batch_op.drop_column("client_key")
