"""notes and hand over

Revision ID: 0012
Revises: 0011
"""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "hand_over_seen",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=False),
        sa.Column("shift_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_hand_over_seen_person_id_person")),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_hand_over_seen_station_id_station")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hand_over_seen")),
        sa.UniqueConstraint(
            "station_id", "shift_at", "person_id", name=op.f("uq_hand_over_seen_station_id_shift_at_person_id")
        ),
        sqlite_strict=True,
    )
    op.create_table(
        "note",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=True),
        sa.Column("station_id", sa.Integer(), nullable=True),
        sa.Column("shift_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("written_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("taken_down_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("taken_down_by_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("(lot_id IS NULL) <> (station_id IS NULL)", name=op.f("ck_note_lot_or_station")),
        sa.CheckConstraint("length(text) BETWEEN 1 AND 300", name=op.f("ck_note_text_length")),
        sa.CheckConstraint("shift_at IS NULL OR station_id IS NOT NULL", name=op.f("ck_note_shift_of_a_station")),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_note_lot_id_lot")),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_note_person_id_person")),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_note_station_id_station")),
        sa.ForeignKeyConstraint(["taken_down_by_id"], ["person.id"], name=op.f("fk_note_taken_down_by_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_note")),
        sa.UniqueConstraint("client_key", name=op.f("uq_note_client_key")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("note", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_note_lot_id"), ["lot_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_note_station_id"), ["station_id"], unique=False)


def downgrade() -> None:
    with op.batch_alter_table("note", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_note_station_id"))
        batch_op.drop_index(batch_op.f("ix_note_lot_id"))

    op.drop_table("note")
    op.drop_table("hand_over_seen")
