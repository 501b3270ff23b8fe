"""the shop's own lists of reasons, who pinned what when, and a stamp that a new password changes

Revision ID: 0008
Revises: 0007
"""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

SCRAP = ("Wrong size", "Tool broke", "Chatter or bad finish", "Set-up piece", "Bad blank", "Dropped or dented")
DOWNTIME = ("Broke down", "Maintenance", "Waiting for a tool or part", "Nobody to run it")


def upgrade() -> None:
    reasons = op.create_table(
        "usual_reason",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column(
            "use",
            sa.Enum("scrap", "downtime", name="reasonuse", native_enum=False, create_constraint=True, length=40),
            nullable=False,
        ),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.CheckConstraint("length(words) BETWEEN 1 AND 40", name=op.f("ck_usual_reason_words_length")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_usual_reason")),
        sa.UniqueConstraint("use", "words", name=op.f("uq_usual_reason_use_words")),
        sqlite_strict=True,
    )
    # What stations offered until now. What was recorded keeps its own words.
    op.bulk_insert(
        reasons,
        [
            {"use": use, "words": words, "active": True}
            for use, listed in (("scrap", SCRAP), ("downtime", DOWNTIME))
            for words in listed
        ],
    )
    op.create_table(
        "pin_change",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=True),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_by_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["changed_by_id"], ["person.id"], name=op.f("fk_pin_change_changed_by_id_person")),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_pin_change_lot_id_lot")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pin_change")),
        sqlite_strict=True,
    )
    op.create_index(op.f("ix_pin_change_lot_id"), "pin_change", ["lot_id"])
    with op.batch_alter_table("person") as table:
        table.add_column(sa.Column("session_stamp", sa.Integer(), nullable=False, server_default="0"))
    with op.batch_alter_table("person") as table:
        table.alter_column("session_stamp", server_default=None, existing_type=sa.Integer(), existing_nullable=False)


def downgrade() -> None:
    with op.batch_alter_table("person") as table:
        table.drop_column("session_stamp")
    op.drop_table("pin_change")
    op.drop_table("usual_reason")
