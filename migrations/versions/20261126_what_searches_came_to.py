"""what came of a search for a better order, and what the shop asked of one then

Revision ID: 0029
Revises: 0028
"""

import sqlalchemy as sa
from alembic import op

revision = "0029"
down_revision = "0028"
branch_labels = None
depends_on = None

CAME_TO = sa.Enum(
    "nothing better",
    "not on average",
    "too little",
    "proposed",
    "accepted",
    "left",
    name="came_to",
    native_enum=False,
    create_constraint=True,
    length=40,
)


def upgrade() -> None:
    with op.batch_alter_table("order_search") as batch:
        batch.add_column(sa.Column("came_to", CAME_TO, nullable=True))
        batch.add_column(sa.Column("asked_gain_seconds", sa.BigInteger(), nullable=True))
    # What is still proposed; of what ended without, nobody knows any more why.
    op.execute("UPDATE order_search SET came_to = 'proposed' WHERE stage = 'ended' AND EXISTS (SELECT 1 FROM proposal)")


def downgrade() -> None:
    with op.batch_alter_table("order_search") as batch:
        batch.drop_constraint(op.f("ck_order_search_came_to"), type_="check")
        batch.drop_column("asked_gain_seconds")
        batch.drop_column("came_to")
