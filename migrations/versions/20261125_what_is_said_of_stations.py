"""what is said of stations

Revision ID: 0010
Revises: 0009
"""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "station_change",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.Column(
            "what",
            sa.Enum(
                "down",
                "back about",
                "runs again",
                "service done",
                name="saying",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.Column("station_id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("happened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_station_change_person_id_person")),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_station_change_station_id_station")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_station_change")),
        sa.UniqueConstraint("client_key", name=op.f("uq_station_change_client_key")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("station_change", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_station_change_station_id"), ["station_id"], unique=False)

    op.create_table(
        "sending",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.Column("operation_id", sa.Integer(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("sent_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["operation_id"], ["lot_operation.id"], name=op.f("fk_sending_operation_id_lot_operation")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_sending_person_id_person")),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_sending_station_id_station")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sending")),
        sa.UniqueConstraint("client_key", name=op.f("uq_sending_client_key")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("sending", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sending_operation_id"), ["operation_id"], unique=False)

    # Raw, because SQLite takes a reference only together with its column.
    op.execute(
        "ALTER TABLE lot_operation ADD COLUMN sent_to_station_id INTEGER "
        "CONSTRAINT fk_lot_operation_sent_to_station_id_station REFERENCES station (id)"
    )
    op.create_index("ix_lot_operation_sent_to_station_id", "lot_operation", ["sent_to_station_id"])


def downgrade() -> None:
    op.drop_index("ix_lot_operation_sent_to_station_id", "lot_operation")
    op.execute("ALTER TABLE lot_operation DROP COLUMN sent_to_station_id")
    with op.batch_alter_table("sending", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_sending_operation_id"))

    op.drop_table("sending")
    with op.batch_alter_table("station_change", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_station_change_station_id"))

    op.drop_table("station_change")
