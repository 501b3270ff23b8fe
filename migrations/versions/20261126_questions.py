"""questions that the planner answers

Revision ID: 0020
Revises: 0019
"""

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "planner_question",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column(
            "kind",
            sa.Enum(
                "promise",
                "what if",
                "remedies",
                name="questionkind",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("asked", sa.JSON(), nullable=False),
        sa.Column("answered_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("answer", sa.JSON(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_planner_question")),
        sqlite_strict=True,
    )


def downgrade() -> None:
    op.drop_table("planner_question")
