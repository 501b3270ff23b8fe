"""a control plan has a head: its phase, who answers for it, what the customer asks for, its last change

Revision ID: 0028
Revises: 0027
"""

import sqlalchemy as sa
from alembic import op

revision = "0028"
down_revision = "0027"
branch_labels = None
depends_on = None

PHASE = sa.Enum(
    "prototype", "pre-launch", "production", name="planphase", native_enum=False, create_constraint=True, length=40
)


def upgrade() -> None:
    op.create_table(
        "plan_head",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("phase", PHASE, nullable=False),
        sa.Column("contact", sa.Text(), nullable=False),
        sa.Column("customer", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_by_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["changed_by_id"], ["person.id"], name=op.f("fk_plan_head_changed_by_id_person")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_plan_head_revision_id_revision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plan_head")),
        sa.UniqueConstraint("revision_id", name=op.f("uq_plan_head_revision_id")),
        sqlite_strict=True,
    )


def downgrade() -> None:
    op.drop_table("plan_head")
