"""pieces that go back to a vendor have a place of their own; bad pieces can be found after they have moved on

Revision ID: 0025
Revises: 0024
"""

import sqlalchemy as sa
from alembic import op

revision = "0025"
down_revision = "0024"
branch_labels = None
depends_on = None

PLACES = (
    *("waiting", "in work", "counted", "held", "scrapped", "in stock", "shipped", "other lot", "started"),
    "missing or found",
)
VERBS = (
    *("start", "start fewer", "issue blanks", "begin set-up", "first piece good", "begin run", "counted so far"),
    *("pause", "hand over", "send ahead", "sign off", "recorded late", "scrap", "hold", "release hold", "rework"),
    *("split", "ship", "use component", "recount", "join", "take back", "mean for", "change lot", "undo"),
)
AT_VENDOR, BACK_TO_VENDOR = "back at the vendor", "back to the vendor"
COUNTS = "waiting >= 0 AND in_work >= 0 AND counted >= 0 AND held >= 0 AND scrapped >= 0 AND passed >= 0"


def upgrade() -> None:
    """What went back to a vendor before stays in the ledger as it was written, as scrap."""
    with op.batch_alter_table("lot_operation") as batch_op:
        batch_op.add_column(sa.Column("at_vendor", sa.Integer(), nullable=False, server_default="0"))
        batch_op.drop_constraint(op.f("ck_lot_operation_counts_not_negative"), type_="check")
        batch_op.create_check_constraint("counts_not_negative", f"{COUNTS} AND at_vendor >= 0")
    with op.batch_alter_table("lot_operation") as batch_op:
        batch_op.alter_column("at_vendor", server_default=None)
    with op.batch_alter_table("nonconformance") as batch_op:
        batch_op.add_column(sa.Column("found_how", sa.Text(), nullable=False, server_default=""))
    with op.batch_alter_table("nonconformance") as batch_op:
        batch_op.alter_column("found_how", server_default=None)
    _unguard()
    _allow((*PLACES, AT_VENDOR), (*VERBS, BACK_TO_VENDOR))
    _guard()


def downgrade() -> None:
    """The revision before knows only scrap: what went back to a vendor becomes that again."""
    _unguard()
    for side in ("from", "to"):
        op.execute(f"UPDATE entry SET {side}_place = 'scrapped' WHERE {side}_place = '{AT_VENDOR}'")
    op.execute(f"UPDATE posting SET verb = 'scrap' WHERE verb = '{BACK_TO_VENDOR}'")
    _allow(PLACES, VERBS)
    _guard()
    op.execute("UPDATE lot_operation SET scrapped = scrapped + at_vendor")
    with op.batch_alter_table("lot_operation") as batch_op:
        batch_op.drop_constraint(op.f("ck_lot_operation_counts_not_negative"), type_="check")
        batch_op.create_check_constraint("counts_not_negative", COUNTS)
        batch_op.drop_column("at_vendor")
    with op.batch_alter_table("nonconformance") as batch_op:
        batch_op.drop_column("found_how")


def _allow(places: tuple[str, ...], verbs: tuple[str, ...]) -> None:
    with op.batch_alter_table("entry") as batch_op:
        for name in ("from_place", "to_place"):
            batch_op.drop_constraint(name, type_="check")
            batch_op.create_check_constraint(name, _one_of(name, places))
    with op.batch_alter_table("posting") as batch_op:
        batch_op.drop_constraint("verb", type_="check")
        batch_op.create_check_constraint("verb", _one_of("verb", verbs))


def _one_of(column: str, names: tuple[str, ...]) -> str:
    return f"{column} IN (" + ", ".join(f"'{name}'" for name in names) + ")"


def _unguard() -> None:
    """Let go of the guards: SQLite makes the tables anew, which drops them; both would refuse the way down."""
    for table in ("posting", "entry"):
        if op.get_bind().dialect.name == "sqlite":
            for change in ("update", "delete"):
                op.execute(f"DROP TRIGGER {table}_refuses_{change}")
        else:
            op.execute(f"ALTER TABLE {table} DISABLE TRIGGER {table}_only_grows")


def _guard() -> None:
    for table in ("posting", "entry"):
        if op.get_bind().dialect.name == "sqlite":
            for change in ("UPDATE", "DELETE"):
                op.execute(
                    f"CREATE TRIGGER {table}_refuses_{change.lower()} BEFORE {change} ON {table} "
                    f"BEGIN SELECT RAISE(ABORT, 'the piece ledger only grows'); END"
                )
        else:
            op.execute(f"ALTER TABLE {table} ENABLE TRIGGER {table}_only_grows")
