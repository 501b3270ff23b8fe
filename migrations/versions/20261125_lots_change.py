"""a released lot changes: its operations can be skipped, or removed for those of a later revision

Revision ID: 0014
Revises: 0013
"""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("lot_operation") as batch_op:
        for name in ("skipped", "removed"):
            batch_op.add_column(sa.Column(name, sa.Boolean(), nullable=False, server_default=sa.false()))
        batch_op.drop_constraint("uq_lot_operation_lot_id_number", type_="unique")
    with op.batch_alter_table("lot_operation") as batch_op:
        for name in ("skipped", "removed"):
            batch_op.alter_column(name, server_default=None)
        batch_op.create_check_constraint("removed_is_skipped", "skipped OR NOT removed")
    op.create_index(
        "uq_lot_operation_number_in_use",
        "lot_operation",
        ["lot_id", "number"],
        unique=True,
        sqlite_where=sa.text("NOT removed"),
        postgresql_where=sa.text("NOT removed"),
    )
    with op.batch_alter_table("traveler_print") as batch_op:
        batch_op.add_column(sa.Column("issue", sa.Integer(), nullable=False, server_default="1"))


def downgrade() -> None:
    """Operations that were removed go back under numbers that nothing has; the ledger may name them."""
    with op.batch_alter_table("traveler_print") as batch_op:
        batch_op.drop_column("issue")
    op.drop_index("uq_lot_operation_number_in_use", "lot_operation")
    op.execute(
        "UPDATE lot_operation SET number = (SELECT max(other.number) FROM lot_operation AS other "
        "WHERE other.lot_id = lot_operation.lot_id) + (SELECT count(*) FROM lot_operation AS other "
        "WHERE other.lot_id = lot_operation.lot_id AND other.removed AND other.id <= lot_operation.id) WHERE removed"
    )
    with op.batch_alter_table("lot_operation") as batch_op:
        batch_op.drop_constraint("removed_is_skipped", type_="check")
        batch_op.drop_column("removed")
        batch_op.drop_column("skipped")
        batch_op.create_unique_constraint("uq_lot_operation_lot_id_number", ["lot_id", "number"])
    if op.get_bind().dialect.name == "sqlite":
        _refer_in_the_column()


def _refer_in_the_column() -> None:
    """Make the reference to the station part of its column again: the revision before can drop it only so."""
    op.execute("CREATE TEMPORARY TABLE sent AS SELECT id, sent_to_station_id AS station FROM lot_operation")
    op.drop_index("ix_lot_operation_sent_to_station_id", "lot_operation")
    with op.batch_alter_table("lot_operation") as batch_op:
        batch_op.drop_column("sent_to_station_id")
    op.execute(
        "ALTER TABLE lot_operation ADD COLUMN sent_to_station_id INTEGER "
        "CONSTRAINT fk_lot_operation_sent_to_station_id_station REFERENCES station (id)"
    )
    op.create_index("ix_lot_operation_sent_to_station_id", "lot_operation", ["sent_to_station_id"])
    op.execute(
        "UPDATE lot_operation SET sent_to_station_id = (SELECT station FROM sent WHERE sent.id = lot_operation.id)"
    )
    op.execute("DROP TABLE sent")
