"""measuring: control plans and their copies in lots, gauges, readings, nonconformances

Revision ID: 0016
Revises: 0015
"""

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None

RULES = ["beyond limit", "two of three", "four of five", "eight in a row"]


def upgrade() -> None:
    op.create_table(
        "gauge_kind",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 60", name=op.f("ck_gauge_kind_name_length")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_gauge_kind")),
        sa.UniqueConstraint("name", name=op.f("uq_gauge_kind_name")),
        sqlite_strict=True,
    )
    switches = op.create_table(
        "quality_switches",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("moving_averages", sa.Boolean(), nullable=False),
        sa.Column("sampling", sa.Boolean(), nullable=False),
        sa.Column("rules", sa.JSON(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_quality_switches_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quality_switches")),
        sqlite_strict=True,
    )
    op.bulk_insert(switches, [{"id": 1, "moving_averages": False, "sampling": False, "rules": RULES}])
    op.create_table(
        "gauge",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("kind_id", sa.Integer(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("range_low", sa.BigInteger(), nullable=True),
        sa.Column("range_high", sa.BigInteger(), nullable=True),
        sa.Column("resolution", sa.BigInteger(), nullable=True),
        sa.Column("owner", sa.Text(), nullable=False),
        sa.Column("interval_months", sa.Integer(), nullable=False),
        sa.Column(
            "when_overdue",
            sa.Enum("block", "warn", name="whenoverdue", native_enum=False, create_constraint=True, length=40),
            nullable=False,
        ),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.Column("calibrated_on", sa.Date(), nullable=True),
        sa.Column(
            "condition",
            sa.Enum("good", "out", name="condition", native_enum=False, create_constraint=True, length=40),
            nullable=True,
        ),
        sa.Column("due_on", sa.Date(), nullable=True),
        sa.CheckConstraint("interval_months BETWEEN 1 AND 240", name=op.f("ck_gauge_interval_range")),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 40", name=op.f("ck_gauge_name_length")),
        sa.CheckConstraint("range_low < range_high", name=op.f("ck_gauge_range_in_order")),
        sa.CheckConstraint("resolution > 0", name=op.f("ck_gauge_resolution_positive")),
        sa.ForeignKeyConstraint(["kind_id"], ["gauge_kind.id"], name=op.f("fk_gauge_kind_id_gauge_kind")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_gauge")),
        sa.UniqueConstraint("name", name=op.f("uq_gauge_name")),
        sqlite_strict=True,
    )
    op.create_index("ix_gauge_kind_id", "gauge", ["kind_id"])

    op.create_table(
        "calibration",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("gauge_id", sa.Integer(), nullable=False),
        sa.Column("made_on", sa.Date(), nullable=False),
        sa.Column(
            "as_found",
            sa.Enum("good", "out", name="as_found", native_enum=False, create_constraint=True, length=40),
            nullable=False,
        ),
        sa.Column(
            "as_left",
            sa.Enum("good", "out", name="as_left", native_enum=False, create_constraint=True, length=40),
            nullable=False,
        ),
        sa.Column("made_by", sa.Text(), nullable=False),
        sa.Column("certificate", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("file_id", sa.Integer(), nullable=True),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("recorded_by_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["file_id"], ["stored_file.id"], name=op.f("fk_calibration_file_id_stored_file")),
        sa.ForeignKeyConstraint(["gauge_id"], ["gauge.id"], name=op.f("fk_calibration_gauge_id_gauge")),
        sa.ForeignKeyConstraint(["recorded_by_id"], ["person.id"], name=op.f("fk_calibration_recorded_by_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_calibration")),
        sa.UniqueConstraint("client_key", name=op.f("uq_calibration_client_key")),
        sqlite_strict=True,
    )
    op.create_index("ix_calibration_gauge_id", "calibration", ["gauge_id"])

    op.create_table(
        "characteristic",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("operation_number", sa.Integer(), nullable=False),
        sa.Column("retired", sa.Boolean(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column(
            "kind",
            sa.Enum("measured", "attribute", name="kind", native_enum=False, create_constraint=True, length=40),
            nullable=False,
        ),
        sa.Column(
            "concerns",
            sa.Enum("product", "process", name="concerns", native_enum=False, create_constraint=True, length=40),
            nullable=False,
        ),
        sa.Column("nominal", sa.BigInteger(), nullable=True),
        sa.Column("lower", sa.BigInteger(), nullable=True),
        sa.Column("upper", sa.BigInteger(), nullable=True),
        sa.Column("places", sa.Integer(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("tolerance_class", sa.Text(), nullable=False),
        sa.Column("drawing_zone", sa.Text(), nullable=False),
        sa.Column("gauge_kind_id", sa.Integer(), nullable=True),
        sa.Column("special_mark", sa.Text(), nullable=False),
        sa.Column("method", sa.Text(), nullable=False),
        sa.Column("reaction_plan", sa.Text(), nullable=False),
        sa.Column(
            "checking_kind",
            sa.Enum(
                "every piece",
                "first and last",
                "every nth",
                "times a shift",
                "by lot size",
                "zero acceptance",
                name="checking_kind",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.Column("checking_number", sa.BigInteger(), nullable=True),
        sa.Column(
            "recording_kind",
            sa.Enum(
                "every piece",
                "first and last",
                "every nth",
                "times a shift",
                "by lot size",
                "zero acceptance",
                name="recording_kind",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.Column("recording_number", sa.BigInteger(), nullable=True),
        sa.Column("confidence", sa.BigInteger(), nullable=True),
        sa.Column("first_piece", sa.Boolean(), nullable=False),
        sa.Column("asks_serial", sa.Boolean(), nullable=False),
        sa.CheckConstraint(
            "kind = 'attribute' OR lower IS NOT NULL OR upper IS NOT NULL", name=op.f("ck_characteristic_has_a_limit")
        ),
        sa.CheckConstraint("lower <= upper", name=op.f("ck_characteristic_limits_in_order")),
        sa.CheckConstraint("number BETWEEN 1 AND 9999", name=op.f("ck_characteristic_number_range")),
        sa.CheckConstraint("places BETWEEN 0 AND 9", name=op.f("ck_characteristic_places_range")),
        sa.ForeignKeyConstraint(
            ["gauge_kind_id"], ["gauge_kind.id"], name=op.f("fk_characteristic_gauge_kind_id_gauge_kind")
        ),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_characteristic_revision_id_revision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_characteristic")),
        sqlite_strict=True,
    )
    op.create_index("ix_characteristic_revision_id", "characteristic", ["revision_id"])
    op.create_index(
        "uq_characteristic_number_in_use",
        "characteristic",
        ["revision_id", "number"],
        unique=True,
        sqlite_where=sa.text("NOT retired"),
        postgresql_where=sa.text("NOT retired"),
    )

    op.create_table(
        "all_checked",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("operation_id", sa.Integer(), nullable=False),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=True),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("happened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.CheckConstraint("pieces >= 1", name=op.f("ck_all_checked_pieces_positive")),
        sa.ForeignKeyConstraint(
            ["operation_id"], ["lot_operation.id"], name=op.f("fk_all_checked_operation_id_lot_operation")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_all_checked_person_id_person")),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_all_checked_station_id_station")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_all_checked")),
        sa.UniqueConstraint("client_key", name=op.f("uq_all_checked_client_key")),
        sqlite_strict=True,
    )
    op.create_index("ix_all_checked_operation_id", "all_checked", ["operation_id"])

    op.create_table(
        "lot_characteristic",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("operation_id", sa.Integer(), nullable=False),
        sa.Column("characteristic_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column(
            "kind",
            sa.Enum("measured", "attribute", name="kind", native_enum=False, create_constraint=True, length=40),
            nullable=False,
        ),
        sa.Column(
            "concerns",
            sa.Enum("product", "process", name="concerns", native_enum=False, create_constraint=True, length=40),
            nullable=False,
        ),
        sa.Column("nominal", sa.BigInteger(), nullable=True),
        sa.Column("lower", sa.BigInteger(), nullable=True),
        sa.Column("upper", sa.BigInteger(), nullable=True),
        sa.Column("places", sa.Integer(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("tolerance_class", sa.Text(), nullable=False),
        sa.Column("drawing_zone", sa.Text(), nullable=False),
        sa.Column("gauge_kind_id", sa.Integer(), nullable=True),
        sa.Column("special_mark", sa.Text(), nullable=False),
        sa.Column("method", sa.Text(), nullable=False),
        sa.Column("reaction_plan", sa.Text(), nullable=False),
        sa.Column(
            "checking_kind",
            sa.Enum(
                "every piece",
                "first and last",
                "every nth",
                "times a shift",
                "by lot size",
                "zero acceptance",
                name="checking_kind",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.Column("checking_number", sa.BigInteger(), nullable=True),
        sa.Column(
            "recording_kind",
            sa.Enum(
                "every piece",
                "first and last",
                "every nth",
                "times a shift",
                "by lot size",
                "zero acceptance",
                name="recording_kind",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.Column("recording_number", sa.BigInteger(), nullable=True),
        sa.Column("confidence", sa.BigInteger(), nullable=True),
        sa.Column("first_piece", sa.Boolean(), nullable=False),
        sa.Column("asks_serial", sa.Boolean(), nullable=False),
        sa.CheckConstraint(
            "kind = 'attribute' OR lower IS NOT NULL OR upper IS NOT NULL",
            name=op.f("ck_lot_characteristic_has_a_limit"),
        ),
        sa.CheckConstraint("lower <= upper", name=op.f("ck_lot_characteristic_limits_in_order")),
        sa.CheckConstraint("number BETWEEN 1 AND 9999", name=op.f("ck_lot_characteristic_number_range")),
        sa.CheckConstraint("places BETWEEN 0 AND 9", name=op.f("ck_lot_characteristic_places_range")),
        sa.ForeignKeyConstraint(
            ["characteristic_id"],
            ["characteristic.id"],
            name=op.f("fk_lot_characteristic_characteristic_id_characteristic"),
        ),
        sa.ForeignKeyConstraint(
            ["gauge_kind_id"], ["gauge_kind.id"], name=op.f("fk_lot_characteristic_gauge_kind_id_gauge_kind")
        ),
        sa.ForeignKeyConstraint(
            ["operation_id"], ["lot_operation.id"], name=op.f("fk_lot_characteristic_operation_id_lot_operation")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lot_characteristic")),
        sa.UniqueConstraint("operation_id", "number", name=op.f("uq_lot_characteristic_operation_id_number")),
        sqlite_strict=True,
    )
    op.create_index("ix_lot_characteristic_characteristic_id", "lot_characteristic", ["characteristic_id"])

    op.create_table(
        "waiver",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("operation_id", sa.Integer(), nullable=False),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("missing", sa.Text(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=True),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("happened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.CheckConstraint("length(reason) >= 1", name=op.f("ck_waiver_has_reason")),
        sa.CheckConstraint("pieces >= 1", name=op.f("ck_waiver_pieces_positive")),
        sa.ForeignKeyConstraint(
            ["operation_id"], ["lot_operation.id"], name=op.f("fk_waiver_operation_id_lot_operation")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_waiver_person_id_person")),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_waiver_station_id_station")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_waiver")),
        sa.UniqueConstraint("client_key", name=op.f("uq_waiver_client_key")),
        sqlite_strict=True,
    )
    op.create_index("ix_waiver_operation_id", "waiver", ["operation_id"])

    op.create_table(
        "reading",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("characteristic_id", sa.Integer(), nullable=False),
        sa.Column("piece", sa.Integer(), nullable=False),
        sa.Column("serial", sa.Text(), nullable=False),
        sa.Column("value", sa.BigInteger(), nullable=True),
        sa.Column("typed", sa.Text(), nullable=False),
        sa.Column("met", sa.Boolean(), nullable=True),
        sa.Column(
            "standing",
            sa.Enum(
                "good",
                "below",
                "above",
                "not met",
                name="standing",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.Column("questioned", sa.Boolean(), nullable=False),
        sa.Column("gauge_id", sa.Integer(), nullable=True),
        sa.Column("station_id", sa.Integer(), nullable=True),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("happened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.Column("struck_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("struck_by_id", sa.Integer(), nullable=True),
        sa.Column("struck_reason", sa.Text(), nullable=False),
        sa.CheckConstraint("(struck_at IS NULL) OR (struck_reason <> '')", name=op.f("ck_reading_struck_with_reason")),
        sa.CheckConstraint("(value IS NULL) <> (met IS NULL)", name=op.f("ck_reading_value_or_answer")),
        sa.CheckConstraint("piece >= 1", name=op.f("ck_reading_piece_positive")),
        sa.ForeignKeyConstraint(
            ["characteristic_id"],
            ["lot_characteristic.id"],
            name=op.f("fk_reading_characteristic_id_lot_characteristic"),
        ),
        sa.ForeignKeyConstraint(["gauge_id"], ["gauge.id"], name=op.f("fk_reading_gauge_id_gauge")),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_reading_person_id_person")),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_reading_station_id_station")),
        sa.ForeignKeyConstraint(["struck_by_id"], ["person.id"], name=op.f("fk_reading_struck_by_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reading")),
        sa.UniqueConstraint("client_key", name=op.f("uq_reading_client_key")),
        sqlite_strict=True,
    )
    op.create_index("ix_reading_characteristic_id_happened_at", "reading", ["characteristic_id", "happened_at"])
    op.create_index("ix_reading_gauge_id_happened_at", "reading", ["gauge_id", "happened_at"])
    op.create_index("ix_reading_person_id", "reading", ["person_id"])

    op.create_table(
        "nonconformance",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("reading_id", sa.Integer(), nullable=False),
        sa.Column("found_at_id", sa.Integer(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=False),
        sa.Column("first_piece", sa.Integer(), nullable=False),
        sa.Column("last_piece", sa.Integer(), nullable=False),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("decided", sa.Integer(), nullable=False),
        sa.Column("opened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("closed_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("first_piece BETWEEN 1 AND last_piece", name=op.f("ck_nonconformance_pieces_in_order")),
        sa.CheckConstraint(
            "pieces >= 1 AND decided BETWEEN 0 AND pieces", name=op.f("ck_nonconformance_decided_range")
        ),
        sa.ForeignKeyConstraint(
            ["found_at_id"], ["lot_operation.id"], name=op.f("fk_nonconformance_found_at_id_lot_operation")
        ),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_nonconformance_lot_id_lot")),
        sa.ForeignKeyConstraint(["reading_id"], ["reading.id"], name=op.f("fk_nonconformance_reading_id_reading")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_nonconformance")),
        sa.UniqueConstraint("number", name=op.f("uq_nonconformance_number")),
        sa.UniqueConstraint("reading_id", name=op.f("uq_nonconformance_reading_id")),
        sqlite_strict=True,
    )
    op.create_index("ix_nonconformance_closed_at", "nonconformance", ["closed_at"])
    op.create_index("ix_nonconformance_found_at_id", "nonconformance", ["found_at_id"])
    op.create_index("ix_nonconformance_lot_id", "nonconformance", ["lot_id"])
    op.create_index("ix_nonconformance_opened_at", "nonconformance", ["opened_at"])

    op.create_table(
        "disposition",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("nonconformance_id", sa.Integer(), nullable=False),
        sa.Column(
            "outcome",
            sa.Enum(
                "rework",
                "scrap",
                "use as is",
                "back to vendor",
                name="outcome",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("to_operation_id", sa.Integer(), nullable=True),
        sa.Column("cost", sa.BigInteger(), nullable=True),
        sa.Column("agreed_by", sa.Text(), nullable=False),
        sa.Column("vendor_id", sa.Integer(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("posting_id", sa.Integer(), nullable=True),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "outcome <> 'use as is' OR length(agreed_by) >= 1", name=op.f("ck_disposition_as_is_is_agreed")
        ),
        sa.CheckConstraint("cost >= 0", name=op.f("ck_disposition_cost_not_negative")),
        sa.CheckConstraint("pieces >= 1", name=op.f("ck_disposition_pieces_positive")),
        sa.ForeignKeyConstraint(
            ["nonconformance_id"], ["nonconformance.id"], name=op.f("fk_disposition_nonconformance_id_nonconformance")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_disposition_person_id_person")),
        sa.ForeignKeyConstraint(["posting_id"], ["posting.id"], name=op.f("fk_disposition_posting_id_posting")),
        sa.ForeignKeyConstraint(
            ["to_operation_id"], ["lot_operation.id"], name=op.f("fk_disposition_to_operation_id_lot_operation")
        ),
        sa.ForeignKeyConstraint(["vendor_id"], ["vendor.id"], name=op.f("fk_disposition_vendor_id_vendor")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_disposition")),
        sa.UniqueConstraint("client_key", name=op.f("uq_disposition_client_key")),
        sqlite_strict=True,
    )
    op.create_index("ix_disposition_nonconformance_id", "disposition", ["nonconformance_id"])

    with op.batch_alter_table("lot_operation") as batch_op:
        batch_op.add_column(sa.Column("measured", sa.Boolean(), nullable=False, server_default=sa.false()))
    with op.batch_alter_table("lot_operation") as batch_op:
        batch_op.alter_column("measured", server_default=None)


def downgrade() -> None:
    with op.batch_alter_table("lot_operation") as batch_op:
        batch_op.drop_column("measured")
    op.drop_table("disposition")
    op.drop_table("nonconformance")
    op.drop_table("reading")
    op.drop_table("waiver")
    op.drop_table("lot_characteristic")
    op.drop_table("all_checked")
    op.drop_table("characteristic")
    op.drop_table("calibration")
    op.drop_table("gauge")
    op.drop_table("quality_switches")
    op.drop_table("gauge_kind")
