"""what was agreed about deliveries stays on record; cancellations, standing orders, since when a line is a rush

Revision ID: 0013
Revises: 0012
"""

from datetime import UTC, datetime, time

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None

AGREED = ("first promise", "changed", "closed short", "cancelled", "opened again")


def upgrade() -> None:
    op.create_table(
        "agreement",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("delivery_id", sa.Integer(), nullable=False),
        sa.Column(
            "what",
            sa.Enum(*AGREED, name="agreed", native_enum=False, create_constraint=True, length=40),
            nullable=False,
        ),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("due", sa.Date(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("agreed_with", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=True),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("recorded_by_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["delivery_id"], ["delivery.id"], name=op.f("fk_agreement_delivery_id_delivery")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_agreement_revision_id_revision")),
        sa.ForeignKeyConstraint(["recorded_by_id"], ["person.id"], name=op.f("fk_agreement_recorded_by_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_agreement")),
        sa.UniqueConstraint("client_key", name=op.f("uq_agreement_client_key")),
        sqlite_strict=True,
    )
    op.create_index("ix_agreement_delivery_id", "agreement", ["delivery_id"])
    with op.batch_alter_table("delivery") as batch_op:
        batch_op.add_column(sa.Column("cancelled_reason", sa.Text(), nullable=False, server_default=""))
        batch_op.add_column(sa.Column("is_replacement", sa.Boolean(), nullable=False, server_default=sa.false()))
        batch_op.create_check_constraint("cancelled_is_closed", "cancelled_reason = '' OR closed_at IS NOT NULL")
    with op.batch_alter_table("delivery") as batch_op:
        batch_op.alter_column("cancelled_reason", server_default=None)
        batch_op.alter_column("is_replacement", server_default=None)
    with op.batch_alter_table("order_line") as batch_op:
        batch_op.add_column(sa.Column("rush_at", sa.DateTime(timezone=True), nullable=True))
        batch_op.add_column(sa.Column("standing_quantity", sa.Integer(), nullable=True))
        batch_op.create_check_constraint("standing_quantity_positive", "standing_quantity >= 1")
    _take_over()


def _take_over() -> None:
    """Put on record what is known of the deliveries that are there: the first promise, and what is agreed now."""
    day = sa.Date()
    agreement = sa.table(
        "agreement",
        *(sa.column(name) for name in ("delivery_id", "what", "quantity", "revision_id")),
        *(sa.column(name) for name in ("agreed_with", "note", "content_hash")),
        sa.column("due", day),
        sa.column("recorded_at", sa.DateTime(timezone=True)),
    )
    delivery = sa.table(
        "delivery",
        *(sa.column(name) for name in ("id", "line_id", "quantity")),
        *(sa.column(name, day) for name in ("due", "first_due")),
    )
    line = sa.table("order_line", *(sa.column(name) for name in ("id", "order_id", "revision_id")))
    order = sa.table("customer_order", sa.column("id"), sa.column("received_on", day))
    bind = op.get_bind()
    kept = (
        sa.select(
            *(delivery.c[name] for name in ("id", "quantity", "due", "first_due")),
            *(line.c.revision_id, order.c.received_on),
        )
        .select_from(delivery.join(line, delivery.c.line_id == line.c.id).join(order, line.c.order_id == order.c.id))
        .order_by(delivery.c.id)
    )
    rows = []
    for each in bind.execute(kept):
        agreed = [("first promise", each.first_due)]
        if each.due != each.first_due:
            agreed.append(("changed", each.due))
        rows += [
            {
                "delivery_id": each.id,
                "what": what,
                "quantity": each.quantity,
                "due": due,
                "revision_id": each.revision_id,
                "agreed_with": "",
                "note": "",
                "content_hash": "",
                "recorded_at": datetime.combine(each.received_on, time(12), UTC),
            }
            for what, due in agreed
        ]
    if rows:
        bind.execute(agreement.insert(), rows)


def downgrade() -> None:
    with op.batch_alter_table("order_line") as batch_op:
        batch_op.drop_constraint("standing_quantity_positive", type_="check")
        batch_op.drop_column("standing_quantity")
        batch_op.drop_column("rush_at")
    with op.batch_alter_table("delivery") as batch_op:
        batch_op.drop_constraint("cancelled_is_closed", type_="check")
        batch_op.drop_column("is_replacement")
        batch_op.drop_column("cancelled_reason")
    op.drop_index("ix_agreement_delivery_id", "agreement")
    op.drop_table("agreement")
