"""by which accepted plan an operation has its place

Revision ID: 0030
Revises: 0029
"""

import sqlalchemy as sa
from alembic import op

revision = "0030"
down_revision = "0029"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("operation_rank") as batch:
        batch.add_column(sa.Column("accepted_plan_id", sa.Integer(), nullable=True))
    _find_plans()
    with op.batch_alter_table("operation_rank") as batch:
        batch.alter_column("accepted_plan_id", existing_type=sa.Integer(), nullable=False)
        batch.create_foreign_key(
            op.f("fk_operation_rank_accepted_plan_id_accepted_plan"), "accepted_plan", ["accepted_plan_id"], ["id"]
        )
        batch.create_index(op.f("ix_operation_rank_accepted_plan_id"), ["accepted_plan_id"])


def _find_plans() -> None:
    """Tell for each rank which plan it is of: the last one that was accepted at its station.

    Of a station that has another name since, it is the last one of all.
    """
    plan = sa.table("accepted_plan", sa.column("id"), sa.column("stations", sa.JSON()))
    rank = sa.table("operation_rank", sa.column("station_id"), sa.column("accepted_plan_id"))
    station = sa.table("station", sa.column("id"), sa.column("name"))
    bind = op.get_bind()
    bind.execute(rank.update().values(accepted_plan_id=sa.select(sa.func.max(plan.c.id)).scalar_subquery()))
    for each in bind.execute(sa.select(plan.c.id, plan.c.stations).order_by(plan.c.id)).all():
        named = sa.select(station.c.id).where(station.c.name.in_(each.stations))
        bind.execute(rank.update().values(accepted_plan_id=each.id).where(rank.c.station_id.in_(named)))


def downgrade() -> None:
    with op.batch_alter_table("operation_rank") as batch:
        batch.drop_index(op.f("ix_operation_rank_accepted_plan_id"))
        batch.drop_constraint(op.f("fk_operation_rank_accepted_plan_id_accepted_plan"), type_="foreignkey")
        batch.drop_column("accepted_plan_id")
