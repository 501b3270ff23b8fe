"""the ledger only grows; the change number starts

Revision ID: 0002
Revises: 0001
"""

from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

TABLES = ("posting", "entry")


def upgrade() -> None:
    op.execute("INSERT INTO change_number (id, number) VALUES (1, 1)")
    if op.get_bind().dialect.name == "sqlite":
        for table in TABLES:
            for change in ("UPDATE", "DELETE"):
                op.execute(
                    f"CREATE TRIGGER {table}_refuses_{change.lower()} BEFORE {change} ON {table} "
                    f"BEGIN SELECT RAISE(ABORT, 'the piece ledger only grows'); END"
                )
        return
    op.execute(
        "CREATE FUNCTION ledger_only_grows() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION 'the piece ledger only grows'; END $$"
    )
    for table in TABLES:
        op.execute(
            f"CREATE TRIGGER {table}_only_grows BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION ledger_only_grows()"
        )


def downgrade() -> None:
    if op.get_bind().dialect.name == "sqlite":
        for table in TABLES:
            for change in ("update", "delete"):
                op.execute(f"DROP TRIGGER {table}_refuses_{change}")
    else:
        for table in TABLES:
            op.execute(f"DROP TRIGGER {table}_only_grows ON {table}")
        op.execute("DROP FUNCTION ledger_only_grows()")
    op.execute("DELETE FROM change_number")
