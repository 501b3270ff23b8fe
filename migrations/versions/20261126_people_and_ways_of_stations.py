"""people of each shift, how stations work over closed time and how fast, families of set-up

Revision ID: 0017
Revises: 0016
"""

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None

OVER_CLOSED = sa.Enum(
    "pause", "fit", "unattended", name="over_closed", native_enum=False, create_constraint=True, length=40
)


def upgrade() -> None:
    op.create_table(
        "crew",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("weekdays", sa.JSON(), nullable=False),
        sa.Column("starts", sa.Time(), nullable=False),
        sa.Column("ends", sa.Time(), nullable=False),
        sa.Column("setters", sa.Integer(), nullable=False),
        sa.Column("tenders", sa.Integer(), nullable=False),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 60", name=op.f("ck_crew_name_length")),
        sa.CheckConstraint(
            "setters BETWEEN 0 AND 999 AND tenders BETWEEN 0 AND 999", name=op.f("ck_crew_people_range")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_crew")),
        sa.UniqueConstraint("name", name=op.f("uq_crew_name")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("station") as batch:
        batch.add_column(sa.Column("pallet_change_seconds", sa.Integer(), server_default="0", nullable=False))
        batch.add_column(sa.Column("over_closed", OVER_CLOSED, server_default="pause", nullable=False))
        batch.add_column(sa.Column("unattended_minutes", sa.Integer(), server_default="0", nullable=False))
        batch.add_column(sa.Column("pace", sa.Integer(), server_default="100", nullable=False))
        batch.create_check_constraint("pallet_change_range", "pallet_change_seconds BETWEEN 0 AND 3600")
        batch.create_check_constraint("unattended_range", "unattended_minutes BETWEEN 0 AND 10080")
        batch.create_check_constraint("pace_range", "pace BETWEEN 10 AND 1000")
    for table in ("routing_operation", "lot_operation"):
        with op.batch_alter_table(table) as batch:
            batch.add_column(sa.Column("setup_family", sa.Text(), server_default="", nullable=False))
            batch.add_column(sa.Column("family_setup_seconds", sa.Integer(), server_default="0", nullable=False))
            batch.add_column(sa.Column("tend_percent", sa.Integer(), server_default="0", nullable=False))
            batch.create_check_constraint("family_setup_not_negative", "family_setup_seconds >= 0")
            batch.create_check_constraint("tend_range", "tend_percent BETWEEN 0 AND 100")


def downgrade() -> None:
    for table in ("lot_operation", "routing_operation"):
        with op.batch_alter_table(table) as batch:
            batch.drop_constraint(op.f(f"ck_{table}_tend_range"), type_="check")
            batch.drop_constraint(op.f(f"ck_{table}_family_setup_not_negative"), type_="check")
            for column in ("tend_percent", "family_setup_seconds", "setup_family"):
                batch.drop_column(column)
    with op.batch_alter_table("station") as batch:
        for check in ("pace_range", "unattended_range", "pallet_change_range", "over_closed"):
            batch.drop_constraint(op.f(f"ck_station_{check}"), type_="check")
        for column in ("pace", "unattended_minutes", "over_closed", "pallet_change_seconds"):
            batch.drop_column(column)
    op.drop_table("crew")
