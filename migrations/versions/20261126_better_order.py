"""the search for a better order of work, its proposal and the ranks that were accepted

Revision ID: 0018
Revises: 0017
"""

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None

SHOP_CHECKS = {
    "search_seconds_range": "search_seconds BETWEEN 5 AND 3600",
    "plan_gain_hours_range": "plan_gain_hours BETWEEN 0 AND 10000",
    "promise_percent_range": "promise_percent BETWEEN 50 AND 99",
}


def upgrade() -> None:
    op.create_table(
        "order_search",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column(
            "stage",
            sa.Enum(
                "asked",
                "running",
                "ended",
                "failed",
                name="stage",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("asked_by_id", sa.Integer(), nullable=True),
        sa.Column("begun_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("share", sa.Integer(), nullable=False),
        sa.Column("stop_asked", sa.Boolean(), nullable=False),
        sa.Column("late_seconds_before", sa.BigInteger(), nullable=True),
        sa.Column("late_seconds_best", sa.BigInteger(), nullable=True),
        sa.Column("late_lots_before", sa.Integer(), nullable=True),
        sa.Column("late_lots_best", sa.Integer(), nullable=True),
        sa.CheckConstraint("id = 1", name=op.f("ck_order_search_one_row")),
        sa.CheckConstraint("share BETWEEN 0 AND 100", name=op.f("ck_order_search_share_range")),
        sa.ForeignKeyConstraint(["asked_by_id"], ["person.id"], name=op.f("fk_order_search_asked_by_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_order_search")),
        sqlite_strict=True,
    )
    op.create_table(
        "proposal",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("change_number", sa.BigInteger(), nullable=False),
        sa.Column("late_seconds_before", sa.BigInteger(), nullable=False),
        sa.Column("late_seconds_after", sa.BigInteger(), nullable=False),
        sa.Column("late_lots_before", sa.Integer(), nullable=False),
        sa.Column("late_lots_after", sa.Integer(), nullable=False),
        sa.Column("lots", sa.JSON(), nullable=False),
        sa.Column("stations", sa.JSON(), nullable=False),
        sa.Column("ranks", sa.JSON(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_proposal_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_proposal")),
        sqlite_strict=True,
    )
    op.create_table(
        "accepted_plan",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("accepted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("accepted_by_id", sa.Integer(), nullable=True),
        sa.Column("stations", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["accepted_by_id"], ["person.id"], name=op.f("fk_accepted_plan_accepted_by_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_accepted_plan")),
        sqlite_strict=True,
    )
    op.create_table(
        "operation_rank",
        sa.Column("operation_id", sa.Integer(), nullable=False),
        sa.Column("rank", sa.Integer(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["operation_id"], ["lot_operation.id"], name=op.f("fk_operation_rank_operation_id_lot_operation")
        ),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_operation_rank_station_id_station")),
        sa.PrimaryKeyConstraint("operation_id", name=op.f("pk_operation_rank")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_operation_rank_station_id"), "operation_rank", ["station_id"])
    with op.batch_alter_table("customer") as batch:
        batch.add_column(sa.Column("weight", sa.Integer(), server_default="1", nullable=False))
        batch.create_check_constraint("weight_range", "weight BETWEEN 1 AND 20")
    with op.batch_alter_table("shop") as batch:
        batch.add_column(sa.Column("search_seconds", sa.Integer(), server_default="60", nullable=False))
        batch.add_column(sa.Column("plan_gain_hours", sa.Integer(), server_default="8", nullable=False))
        batch.add_column(sa.Column("promise_percent", sa.Integer(), server_default="80", nullable=False))
        for name, rule in SHOP_CHECKS.items():
            batch.create_check_constraint(name, rule)


def downgrade() -> None:
    with op.batch_alter_table("shop") as batch:
        for name in SHOP_CHECKS:
            batch.drop_constraint(op.f(f"ck_shop_{name}"), type_="check")
        for column in ("promise_percent", "plan_gain_hours", "search_seconds"):
            batch.drop_column(column)
    with op.batch_alter_table("customer") as batch:
        batch.drop_constraint(op.f("ck_customer_weight_range"), type_="check")
        batch.drop_column("weight")
    op.drop_table("operation_rank")
    op.drop_table("accepted_plan")
    op.drop_table("proposal")
    op.drop_table("order_search")
