"""paper files and backups: what the owners choose, how the last ones went, and which travelers lie among the files

Revision ID: 0009
Revises: 0008
"""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    table = op.create_table(
        "safekeeping",
        sa.Column(
            "kept",
            sa.Enum("paper", "backup", name="kept", native_enum=False, create_constraint=True, length=40),
            nullable=False,
        ),
        sa.Column("folder", sa.Text(), nullable=False),
        sa.Column("times", sa.JSON(), nullable=False),
        sa.Column("weekdays", sa.JSON(), nullable=False),
        sa.Column("on_closed_days", sa.Boolean(), nullable=False),
        sa.Column("most_kept", sa.Integer(), nullable=False),
        sa.Column("next_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("done_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("done_name", sa.Text(), nullable=False),
        sa.Column("failed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("failure", sa.Text(), nullable=False),
        sa.CheckConstraint("most_kept BETWEEN 1 AND 400", name=op.f("ck_safekeeping_most_kept_range")),
        sa.PrimaryKeyConstraint("kept", name=op.f("pk_safekeeping")),
        sqlite_strict=True,
    )
    usual = {"folder": "", "done_name": "", "failure": ""}
    op.bulk_insert(
        table,
        [
            {
                "kept": "paper",
                "times": ["06:00", "14:00"],
                "weekdays": [0, 1, 2, 3, 4],
                "on_closed_days": False,
                "most_kept": 1,
                **usual,
            },
            {
                "kept": "backup",
                "times": ["18:30"],
                "weekdays": [0, 1, 2, 3, 4, 5, 6],
                "on_closed_days": True,
                "most_kept": 14,
                **usual,
            },
        ],
    )
    with op.batch_alter_table("traveler_print") as batch:
        batch.add_column(sa.Column("in_files", sa.Boolean(), server_default=sa.false(), nullable=False))


def downgrade() -> None:
    op.execute(sa.text("DELETE FROM traveler_print WHERE in_files"))
    with op.batch_alter_table("traveler_print") as batch:
        batch.drop_column("in_files")
    op.drop_table("safekeeping")
