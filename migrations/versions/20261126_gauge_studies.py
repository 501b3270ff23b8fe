"""studies of gauges, off until they are switched on

Revision ID: 0022
Revises: 0021
"""

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "gauge_study",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("gauge_id", sa.Integer(), nullable=False),
        sa.Column("characteristic_id", sa.Integer(), nullable=True),
        sa.Column("appraisers", sa.JSON(), nullable=False),
        sa.Column("typed", sa.JSON(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("recorded_by_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["gauge_id"], ["gauge.id"], name=op.f("fk_gauge_study_gauge_id_gauge")),
        sa.ForeignKeyConstraint(
            ["characteristic_id"], ["characteristic.id"], name=op.f("fk_gauge_study_characteristic_id_characteristic")
        ),
        sa.ForeignKeyConstraint(["recorded_by_id"], ["person.id"], name=op.f("fk_gauge_study_recorded_by_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_gauge_study")),
        sa.UniqueConstraint("client_key", name=op.f("uq_gauge_study_client_key")),
        sqlite_strict=True,
    )
    op.create_index("ix_gauge_study_gauge_id", "gauge_study", ["gauge_id"])
    with op.batch_alter_table("quality_switches") as batch_op:
        batch_op.add_column(sa.Column("studies", sa.Boolean(), nullable=False, server_default=sa.false()))
    with op.batch_alter_table("quality_switches") as batch_op:
        batch_op.alter_column("studies", server_default=None)


def downgrade() -> None:
    with op.batch_alter_table("quality_switches") as batch_op:
        batch_op.drop_column("studies")
    op.drop_table("gauge_study")
