"""readings are found by person and by station in order of time

Revision ID: 0023
Revises: 0022
"""

from alembic import op

revision = "0023"
down_revision = "0022"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.drop_index("ix_reading_person_id", table_name="reading")
    op.create_index("ix_reading_person_id_happened_at", "reading", ["person_id", "happened_at"])
    op.create_index("ix_reading_station_id_happened_at", "reading", ["station_id", "happened_at"])


def downgrade() -> None:
    op.drop_index("ix_reading_station_id_happened_at", table_name="reading")
    op.drop_index("ix_reading_person_id_happened_at", table_name="reading")
    op.create_index("ix_reading_person_id", "reading", ["person_id"])
