"""what the ledger can say grows: recounts, joins, returns, changes of a lot; an entry can be an estimate

Revision ID: 0006
Revises: 0005
"""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None

BEFORE = (
    *("start", "start fewer", "issue blanks", "begin set-up", "first piece good", "begin run", "counted so far"),
    *("pause", "hand over", "send ahead", "sign off", "recorded late", "scrap", "hold", "release hold", "rework"),
    *("split", "ship", "use component", "undo"),
)
AFTER = (*BEFORE[:-1], "recount", "join", "take back", "mean for", "change lot", "undo")


def verbs(names: tuple[str, ...]) -> sa.Enum:
    return sa.Enum(*names, name="verb", native_enum=False, create_constraint=False, length=40)


def allowed(names: tuple[str, ...]) -> str:
    return "verb IN (" + ", ".join(f"'{name}'" for name in names) + ")"


def upgrade() -> None:
    _unguard()
    with op.batch_alter_table("posting") as batch_op:
        batch_op.drop_constraint("verb", type_="check")
        batch_op.create_check_constraint("verb", allowed(AFTER))
        batch_op.add_column(sa.Column("is_estimate", sa.Boolean(), nullable=False, server_default=sa.false()))
    with op.batch_alter_table("posting") as batch_op:
        batch_op.alter_column("is_estimate", server_default=None)
    _guard()


def downgrade() -> None:
    _unguard()
    with op.batch_alter_table("posting") as batch_op:
        batch_op.drop_column("is_estimate")
        batch_op.drop_constraint("verb", type_="check")
        batch_op.create_check_constraint("verb", allowed(BEFORE))
    _guard()


def _unguard() -> None:
    """Let go of the guards: SQLite makes the table anew, which drops them, and would refuse it besides."""
    if op.get_bind().dialect.name == "sqlite":
        for change in ("update", "delete"):
            op.execute(f"DROP TRIGGER posting_refuses_{change}")


def _guard() -> None:
    if op.get_bind().dialect.name == "sqlite":
        for change in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER posting_refuses_{change.lower()} BEFORE {change} ON posting "
                f"BEGIN SELECT RAISE(ABORT, 'the piece ledger only grows'); END"
            )
