"""hours run and planned service

Revision ID: 0011
Revises: 0010
"""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "hours_count",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("posting_id", sa.BigInteger(), nullable=False),
        sa.Column("counted_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_hours_count_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hours_count")),
        sqlite_strict=True,
    )
    op.create_table(
        "planned_service",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("every_days", sa.Integer(), nullable=True),
        sa.Column("every_hours", sa.Integer(), nullable=True),
        sa.Column("takes_minutes", sa.Integer(), nullable=False),
        sa.Column("last_done_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ran_then", sa.BigInteger(), nullable=False),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.CheckConstraint(
            "(every_days IS NULL) <> (every_hours IS NULL)", name=op.f("ck_planned_service_days_or_hours")
        ),
        sa.CheckConstraint("every_days BETWEEN 1 AND 3660", name=op.f("ck_planned_service_days_range")),
        sa.CheckConstraint("every_hours BETWEEN 1 AND 100000", name=op.f("ck_planned_service_hours_range")),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 60", name=op.f("ck_planned_service_name_length")),
        sa.CheckConstraint("takes_minutes BETWEEN 1 AND 10000", name=op.f("ck_planned_service_takes_range")),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_planned_service_station_id_station")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_planned_service")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("planned_service", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_planned_service_station_id"), ["station_id"], unique=False)

    op.create_table(
        "station_day",
        sa.Column("station_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("busy_seconds", sa.Integer(), nullable=False),
        sa.Column("run_seconds", sa.Integer(), nullable=False),
        sa.CheckConstraint("run_seconds BETWEEN 0 AND busy_seconds", name=op.f("ck_station_day_run_within_busy")),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_station_day_station_id_station")),
        sa.PrimaryKeyConstraint("station_id", "day", name=op.f("pk_station_day")),
        sqlite_strict=True,
    )
    op.create_table(
        "station_hours",
        sa.Column("station_id", sa.Integer(), nullable=False),
        sa.Column("run_seconds", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_station_hours_station_id_station")),
        sa.PrimaryKeyConstraint("station_id", name=op.f("pk_station_hours")),
        sqlite_strict=True,
    )
    op.create_table(
        "service_forecast",
        sa.Column("service_id", sa.Integer(), nullable=False),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("start_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("end_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("is_guess", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["service_id"], ["planned_service.id"], name=op.f("fk_service_forecast_service_id_planned_service")
        ),
        sa.PrimaryKeyConstraint("service_id", name=op.f("pk_service_forecast")),
        sqlite_strict=True,
    )


def downgrade() -> None:
    op.drop_table("service_forecast")
    op.drop_table("station_hours")
    op.drop_table("station_day")
    with op.batch_alter_table("planned_service", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_planned_service_station_id"))

    op.drop_table("planned_service")
    op.drop_table("hours_count")
