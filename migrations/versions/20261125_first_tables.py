"""first tables

Revision ID: 0001
Revises:
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "change_number",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.BigInteger(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_change_number_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_change_number")),
        sqlite_strict=True,
    )
    op.create_table(
        "closure",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_closure")),
        sa.UniqueConstraint("day", name=op.f("uq_closure_day")),
        sqlite_strict=True,
    )
    op.create_table(
        "customer",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column(
            "due_means",
            sa.Enum(
                "leaves here", "at their dock", name="duemeans", native_enum=False, create_constraint=True, length=40
            ),
            nullable=False,
        ),
        sa.Column("transit_days", sa.Integer(), nullable=False),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 80", name=op.f("ck_customer_name_length")),
        sa.CheckConstraint("transit_days >= 0", name=op.f("ck_customer_transit_days_not_negative")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer")),
        sa.UniqueConstraint("name", name=op.f("uq_customer_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "forecast",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("change_number", sa.BigInteger(), nullable=False),
        sa.Column("computed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("took_ms", sa.Integer(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_forecast_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_forecast")),
        sqlite_strict=True,
    )
    op.create_table(
        "operation_kind",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column(
            "role",
            sa.Enum(
                "blanks", "station", "outside", name="kindrole", native_enum=False, create_constraint=True, length=40
            ),
            nullable=False,
        ),
        sa.Column("caution", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_operation_kind")),
        sa.UniqueConstraint("name", name=op.f("uq_operation_kind_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "part",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.CheckConstraint("length(number) BETWEEN 1 AND 60", name=op.f("ck_part_number_length")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part")),
        sa.UniqueConstraint("number", name=op.f("uq_part_number")),
        sqlite_strict=True,
    )
    op.create_table(
        "person",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("initials", sa.Text(), nullable=False),
        sa.Column("badge_number", sa.Integer(), nullable=True),
        sa.Column("password_hash", sa.Text(), nullable=False),
        sa.Column("pin_hash", sa.Text(), nullable=False),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.Column("locked_until", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("length(initials) BETWEEN 1 AND 4", name=op.f("ck_person_initials_length")),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 80", name=op.f("ck_person_name_length")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
        sa.UniqueConstraint("badge_number", name=op.f("uq_person_badge_number")),
        sa.UniqueConstraint("initials", name=op.f("uq_person_initials")),
        sa.UniqueConstraint("name", name=op.f("uq_person_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "planner_lease",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("holder", sa.Text(), nullable=False),
        sa.Column("heartbeat_at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_planner_lease_one_row")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_planner_lease")),
        sqlite_strict=True,
    )
    op.create_table(
        "shop",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("time_zone", sa.Text(), nullable=False),
        sa.Column("shipping_cutoff", sa.Time(), nullable=False),
        sa.Column(
            "units",
            sa.Enum("inch", "metric", name="unitsystem", native_enum=False, create_constraint=True, length=40),
            nullable=False,
        ),
        sa.Column("lift_limit_grams", sa.Integer(), nullable=False),
        sa.Column("idle_minutes", sa.Integer(), nullable=False),
        sa.Column("sure_percent", sa.Integer(), nullable=False),
        sa.Column("holiday_country", sa.Text(), nullable=False),
        sa.Column("holiday_state", sa.Text(), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_shop_one_row")),
        sa.CheckConstraint("idle_minutes BETWEEN 1 AND 1440", name=op.f("ck_shop_idle_minutes_range")),
        sa.CheckConstraint("lift_limit_grams > 0", name=op.f("ck_shop_lift_limit_positive")),
        sa.CheckConstraint("sure_percent BETWEEN 50 AND 99", name=op.f("ck_shop_sure_percent_range")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shop")),
        sqlite_strict=True,
    )
    op.create_table(
        "stored_file",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("media_type", sa.Text(), nullable=False),
        sa.Column("data", sa.LargeBinary(), nullable=False),
        sa.Column("stored_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stored_file")),
        sa.UniqueConstraint("sha256", name=op.f("uq_stored_file_sha256")),
        sqlite_strict=True,
    )
    op.create_table(
        "vendor",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("contact", sa.Text(), nullable=False),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 80", name=op.f("ck_vendor_name_length")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_vendor")),
        sa.UniqueConstraint("name", name=op.f("uq_vendor_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "work_center",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 60", name=op.f("ck_work_center_name_length")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_work_center")),
        sa.UniqueConstraint("name", name=op.f("uq_work_center_name")),
        sqlite_strict=True,
    )
    op.create_table(
        "customer_order",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("their_number", sa.Text(), nullable=False),
        sa.Column("received_on", sa.Date(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.CheckConstraint("length(their_number) BETWEEN 1 AND 40", name=op.f("ck_customer_order_their_number_length")),
        sa.ForeignKeyConstraint(["customer_id"], ["customer.id"], name=op.f("fk_customer_order_customer_id_customer")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_customer_order")),
        sa.UniqueConstraint("customer_id", "their_number", name=op.f("uq_customer_order_customer_id_their_number")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("customer_order", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_customer_order_customer_id"), ["customer_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_customer_order_their_number"), ["their_number"], unique=False)

    op.create_table(
        "material_order",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("vendor_id", sa.Integer(), nullable=False),
        sa.Column("their_number", sa.Text(), nullable=False),
        sa.Column("ordered_on", sa.Date(), nullable=False),
        sa.Column("ordered_by_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["ordered_by_id"], ["person.id"], name=op.f("fk_material_order_ordered_by_id_person")),
        sa.ForeignKeyConstraint(["vendor_id"], ["vendor.id"], name=op.f("fk_material_order_vendor_id_vendor")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_material_order")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("material_order", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_material_order_vendor_id"), ["vendor_id"], unique=False)

    op.create_table(
        "person_role",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column(
            "role",
            sa.Enum(
                "owner",
                "setup lead",
                "operator",
                "inspector",
                name="role",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_person_role_person_id_person")),
        sa.PrimaryKeyConstraint("person_id", "role", name=op.f("pk_person_role")),
        sqlite_strict=True,
    )
    op.create_table(
        "revision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("current", sa.Boolean(), nullable=False),
        sa.Column("material", sa.Text(), nullable=False),
        sa.Column("blank", sa.Text(), nullable=False),
        sa.Column(
            "blank_source",
            sa.Enum("vendor", "customer", name="blanksource", native_enum=False, create_constraint=True, length=40),
            nullable=False,
        ),
        sa.Column(
            "blank_form",
            sa.Enum("piece", "plate", "bar", name="blankform", native_enum=False, create_constraint=True, length=40),
            nullable=False,
        ),
        sa.Column("pieces_per_unit", sa.Integer(), nullable=False),
        sa.Column("blank_lead_days", sa.Integer(), nullable=False),
        sa.Column("blank_price", sa.BigInteger(), nullable=False),
        sa.Column("blank_grams", sa.Integer(), nullable=False),
        sa.Column("piece_grams", sa.Integer(), nullable=False),
        sa.CheckConstraint("blank_grams >= 0 AND piece_grams >= 0", name=op.f("ck_revision_weights_not_negative")),
        sa.CheckConstraint("blank_lead_days >= 0", name=op.f("ck_revision_blank_lead_days_not_negative")),
        sa.CheckConstraint("blank_price >= 0", name=op.f("ck_revision_price_not_negative")),
        sa.CheckConstraint("length(label) BETWEEN 1 AND 12", name=op.f("ck_revision_label_length")),
        sa.CheckConstraint("pieces_per_unit >= 1", name=op.f("ck_revision_pieces_per_unit_positive")),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_revision_part_id_part")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_revision")),
        sa.UniqueConstraint("part_id", "label", name=op.f("uq_revision_part_id_label")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("revision", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_revision_part_id"), ["part_id"], unique=False)

    op.create_table(
        "shipment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("customer_id", sa.Integer(), nullable=False),
        sa.Column("shipped_on", sa.Date(), nullable=False),
        sa.Column("carrier", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("recorded_by_id", sa.Integer(), nullable=True),
        sa.Column("taken_back_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("taken_back_by_id", sa.Integer(), nullable=True),
        sa.Column("taken_back_reason", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "(taken_back_at IS NULL) = (taken_back_reason = '')", name=op.f("ck_shipment_taken_back_with_reason")
        ),
        sa.ForeignKeyConstraint(["customer_id"], ["customer.id"], name=op.f("fk_shipment_customer_id_customer")),
        sa.ForeignKeyConstraint(["recorded_by_id"], ["person.id"], name=op.f("fk_shipment_recorded_by_id_person")),
        sa.ForeignKeyConstraint(["taken_back_by_id"], ["person.id"], name=op.f("fk_shipment_taken_back_by_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shipment")),
        sa.UniqueConstraint("client_key", name=op.f("uq_shipment_client_key")),
        sa.UniqueConstraint("number", name=op.f("uq_shipment_number")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("shipment", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_shipment_customer_id"), ["customer_id"], unique=False)

    op.create_table(
        "sign_in_attempt",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("secret", sa.Text(), nullable=False),
        sa.Column("succeeded", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_sign_in_attempt_person_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in_attempt")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("sign_in_attempt", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sign_in_attempt_person_id"), ["person_id"], unique=False)

    op.create_table(
        "station",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("work_center_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("pallets", sa.Integer(), nullable=False),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.CheckConstraint("length(name) BETWEEN 1 AND 60", name=op.f("ck_station_name_length")),
        sa.CheckConstraint("pallets BETWEEN 1 AND 24", name=op.f("ck_station_pallets_range")),
        sa.ForeignKeyConstraint(
            ["work_center_id"], ["work_center.id"], name=op.f("fk_station_work_center_id_work_center")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_station")),
        sa.UniqueConstraint("name", name=op.f("uq_station_name")),
        sa.UniqueConstraint("number", name=op.f("uq_station_number")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("station", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_station_work_center_id"), ["work_center_id"], unique=False)

    op.create_table(
        "stored_page",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("file_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("png", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["file_id"], ["stored_file.id"], name=op.f("fk_stored_page_file_id_stored_file")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stored_page")),
        sa.UniqueConstraint("file_id", "number", name=op.f("uq_stored_page_file_id_number")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("stored_page", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_stored_page_file_id"), ["file_id"], unique=False)

    op.create_table(
        "component",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("operation_number", sa.Integer(), nullable=False),
        sa.Column("per_piece", sa.Integer(), nullable=False),
        sa.CheckConstraint("per_piece >= 1", name=op.f("ck_component_per_piece_positive")),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_component_part_id_part")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_component_revision_id_revision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_component")),
        sa.UniqueConstraint(
            "revision_id", "part_id", "operation_number", name=op.f("uq_component_revision_id_part_id_operation_number")
        ),
        sqlite_strict=True,
    )
    with op.batch_alter_table("component", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_component_part_id"), ["part_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_component_revision_id"), ["revision_id"], unique=False)

    op.create_table(
        "downtime",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=False),
        sa.Column("starts_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ends_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("end_is_guess", sa.Boolean(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.CheckConstraint("ends_at > starts_at", name=op.f("ck_downtime_ends_after_start")),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_downtime_station_id_station")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_downtime")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("downtime", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_downtime_station_id"), ["station_id"], unique=False)

    op.create_table(
        "material_order_line",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=True),
        sa.Column("part_id", sa.Integer(), nullable=True),
        sa.Column(
            "unit",
            sa.Enum("piece", "plate", "bar", name="blankform", native_enum=False, create_constraint=True, length=40),
            nullable=False,
        ),
        sa.Column("units", sa.Integer(), nullable=False),
        sa.Column("pieces_per_unit", sa.Integer(), nullable=False),
        sa.Column("unit_price", sa.BigInteger(), nullable=False),
        sa.Column("expected_on", sa.Date(), nullable=False),
        sa.Column("closed_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint(
            "(revision_id IS NULL) <> (part_id IS NULL)", name=op.f("ck_material_order_line_blank_or_component")
        ),
        sa.CheckConstraint("unit_price >= 0", name=op.f("ck_material_order_line_price_not_negative")),
        sa.CheckConstraint(
            "units >= 1 AND pieces_per_unit >= 1", name=op.f("ck_material_order_line_quantities_positive")
        ),
        sa.ForeignKeyConstraint(
            ["order_id"], ["material_order.id"], name=op.f("fk_material_order_line_order_id_material_order")
        ),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_material_order_line_part_id_part")),
        sa.ForeignKeyConstraint(
            ["revision_id"], ["revision.id"], name=op.f("fk_material_order_line_revision_id_revision")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_material_order_line")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("material_order_line", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_material_order_line_closed_at"), ["closed_at"], unique=False)
        batch_op.create_index(batch_op.f("ix_material_order_line_order_id"), ["order_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_material_order_line_part_id"), ["part_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_material_order_line_revision_id"), ["revision_id"], unique=False)

    op.create_table(
        "order_line",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("order_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("price", sa.BigInteger(), nullable=False),
        sa.Column("rush", sa.Boolean(), nullable=False),
        sa.Column("rush_by_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("price >= 0", name=op.f("ck_order_line_price_positive")),
        sa.ForeignKeyConstraint(
            ["order_id"], ["customer_order.id"], name=op.f("fk_order_line_order_id_customer_order")
        ),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_order_line_revision_id_revision")),
        sa.ForeignKeyConstraint(["rush_by_id"], ["person.id"], name=op.f("fk_order_line_rush_by_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_order_line")),
        sa.UniqueConstraint("order_id", "number", name=op.f("uq_order_line_order_id_number")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("order_line", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_order_line_order_id"), ["order_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_order_line_revision_id"), ["revision_id"], unique=False)

    op.create_table(
        "overtime",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=False),
        sa.Column("starts_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ends_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.CheckConstraint("ends_at > starts_at", name=op.f("ck_overtime_ends_after_start")),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_overtime_station_id_station")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_overtime")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("overtime", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_overtime_station_id"), ["station_id"], unique=False)

    op.create_table(
        "posting",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column(
            "verb",
            sa.Enum(
                "start",
                "start fewer",
                "issue blanks",
                "begin set-up",
                "first piece good",
                "begin run",
                "counted so far",
                "pause",
                "hand over",
                "send ahead",
                "sign off",
                "recorded late",
                "scrap",
                "hold",
                "release hold",
                "rework",
                "split",
                "ship",
                "use component",
                "undo",
                name="verb",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.Column("client_key", sa.Text(), nullable=False),
        sa.Column("content_hash", sa.Text(), nullable=False),
        sa.Column("happened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("recorded_by_id", sa.Integer(), nullable=True),
        sa.Column("station_id", sa.Integer(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("reverses_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_posting_person_id_person")),
        sa.ForeignKeyConstraint(["recorded_by_id"], ["person.id"], name=op.f("fk_posting_recorded_by_id_person")),
        sa.ForeignKeyConstraint(["reverses_id"], ["posting.id"], name=op.f("fk_posting_reverses_id_posting")),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_posting_station_id_station")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_posting")),
        sa.UniqueConstraint("client_key", name=op.f("uq_posting_client_key")),
        sa.UniqueConstraint("reverses_id", name=op.f("uq_posting_reverses_id")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("posting", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_posting_happened_at"), ["happened_at"], unique=False)
        batch_op.create_index(batch_op.f("ix_posting_person_id"), ["person_id"], unique=False)
        batch_op.create_index("ix_posting_station_happened", ["station_id", "happened_at"], unique=False)

    op.create_table(
        "routing",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("created_by_id", sa.Integer(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["created_by_id"], ["person.id"], name=op.f("fk_routing_created_by_id_person")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_routing_revision_id_revision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_routing")),
        sa.UniqueConstraint("revision_id", "version", name=op.f("uq_routing_revision_id_version")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("routing", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_routing_revision_id"), ["revision_id"], unique=False)

    op.create_table(
        "shift",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=False),
        sa.Column("weekday", sa.Integer(), nullable=False),
        sa.Column("starts", sa.Time(), nullable=False),
        sa.Column("ends", sa.Time(), nullable=False),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name=op.f("ck_shift_weekday_range")),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_shift_station_id_station")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shift")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("shift", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_shift_station_id"), ["station_id"], unique=False)

    op.create_table(
        "sign_on",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("begun_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_sign_on_person_id_person")),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_sign_on_station_id_station")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_on")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("sign_on", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sign_on_person_id"), ["person_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_sign_on_station_id"), ["station_id"], unique=False)

    op.create_table(
        "station_forecast",
        sa.Column("station_id", sa.Integer(), nullable=False),
        sa.Column("busy", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_station_forecast_station_id_station")),
        sa.PrimaryKeyConstraint("station_id", name=op.f("pk_station_forecast")),
        sqlite_strict=True,
    )
    op.create_table(
        "delivery",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("line_id", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("due", sa.Date(), nullable=False),
        sa.Column("first_due", sa.Date(), nullable=False),
        sa.Column("shipped", sa.Integer(), nullable=False),
        sa.Column("closed_at", sa.DateTime(timezone=True), nullable=True),
        sa.CheckConstraint("quantity >= 1", name=op.f("ck_delivery_quantity_positive")),
        sa.CheckConstraint("shipped >= 0", name=op.f("ck_delivery_shipped_not_negative")),
        sa.ForeignKeyConstraint(["line_id"], ["order_line.id"], name=op.f("fk_delivery_line_id_order_line")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_delivery")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("delivery", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_delivery_closed_at"), ["closed_at"], unique=False)
        batch_op.create_index(batch_op.f("ix_delivery_due"), ["due"], unique=False)
        batch_op.create_index(batch_op.f("ix_delivery_line_id"), ["line_id"], unique=False)

    op.create_table(
        "expected_change",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("line_id", sa.Integer(), nullable=False),
        sa.Column("expected_before", sa.Date(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("changed_by_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("length(reason) >= 1", name=op.f("ck_expected_change_reason_given")),
        sa.ForeignKeyConstraint(["changed_by_id"], ["person.id"], name=op.f("fk_expected_change_changed_by_id_person")),
        sa.ForeignKeyConstraint(
            ["line_id"], ["material_order_line.id"], name=op.f("fk_expected_change_line_id_material_order_line")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_expected_change")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("expected_change", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_expected_change_line_id"), ["line_id"], unique=False)

    op.create_table(
        "lot",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("revision_id", sa.Integer(), nullable=False),
        sa.Column("routing_id", sa.Integer(), nullable=False),
        sa.Column("parent_id", sa.Integer(), nullable=True),
        sa.Column("needed", sa.Integer(), nullable=False),
        sa.Column("start_reason", sa.Text(), nullable=False),
        sa.Column("due_on", sa.Date(), nullable=True),
        sa.Column("rush", sa.Boolean(), nullable=False),
        sa.Column("pin", sa.Integer(), nullable=True),
        sa.Column("hold_reason", sa.Text(), nullable=False),
        sa.Column("released_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("released_by_id", sa.Integer(), nullable=True),
        sa.Column("closed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("started", sa.Integer(), nullable=False),
        sa.Column("in_stock", sa.Integer(), nullable=False),
        sa.Column("shipped", sa.Integer(), nullable=False),
        sa.Column("in_other_lots", sa.Integer(), nullable=False),
        sa.CheckConstraint("needed >= 0", name=op.f("ck_lot_needed_not_negative")),
        sa.CheckConstraint(
            "started >= 0 AND in_stock >= 0 AND shipped >= 0 AND in_other_lots >= 0",
            name=op.f("ck_lot_counts_not_negative"),
        ),
        sa.ForeignKeyConstraint(["parent_id"], ["lot.id"], name=op.f("fk_lot_parent_id_lot")),
        sa.ForeignKeyConstraint(["released_by_id"], ["person.id"], name=op.f("fk_lot_released_by_id_person")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_lot_revision_id_revision")),
        sa.ForeignKeyConstraint(["routing_id"], ["routing.id"], name=op.f("fk_lot_routing_id_routing")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lot")),
        sa.UniqueConstraint("number", name=op.f("uq_lot_number")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("lot", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_lot_closed_at"), ["closed_at"], unique=False)
        batch_op.create_index(batch_op.f("ix_lot_parent_id"), ["parent_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_lot_revision_id"), ["revision_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_lot_routing_id"), ["routing_id"], unique=False)

    op.create_table(
        "receipt",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("line_id", sa.Integer(), nullable=True),
        sa.Column("expected_on", sa.Date(), nullable=True),
        sa.Column(
            "origin",
            sa.Enum(
                "bought",
                "customer-supplied",
                "found in the shop",
                name="origin",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.Column("revision_id", sa.Integer(), nullable=True),
        sa.Column("part_id", sa.Integer(), nullable=True),
        sa.Column("heat", sa.Text(), nullable=False),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("rejected", sa.Integer(), nullable=False),
        sa.Column("reject_reason", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("issued", sa.Integer(), nullable=False),
        sa.Column("received_on", sa.Date(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("recorded_by_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("(revision_id IS NULL) <> (part_id IS NULL)", name=op.f("ck_receipt_blank_or_component")),
        sa.CheckConstraint("issued <= pieces", name=op.f("ck_receipt_issued_at_most_received")),
        sa.CheckConstraint(
            "pieces >= 0 AND rejected >= 0 AND issued >= 0", name=op.f("ck_receipt_counts_not_negative")
        ),
        sa.ForeignKeyConstraint(
            ["line_id"], ["material_order_line.id"], name=op.f("fk_receipt_line_id_material_order_line")
        ),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_receipt_part_id_part")),
        sa.ForeignKeyConstraint(["recorded_by_id"], ["person.id"], name=op.f("fk_receipt_recorded_by_id_person")),
        sa.ForeignKeyConstraint(["revision_id"], ["revision.id"], name=op.f("fk_receipt_revision_id_revision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_receipt")),
        sa.UniqueConstraint("number", name=op.f("uq_receipt_number")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("receipt", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_receipt_heat"), ["heat"], unique=False)
        batch_op.create_index(batch_op.f("ix_receipt_line_id"), ["line_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_receipt_part_id"), ["part_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_receipt_revision_id"), ["revision_id"], unique=False)

    op.create_table(
        "routing_operation",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("routing_id", sa.Integer(), nullable=False),
        sa.Column("kind_id", sa.Integer(), nullable=False),
        sa.Column("work_center_id", sa.Integer(), nullable=True),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("setup_seconds", sa.Integer(), nullable=False),
        sa.Column("setup_loss", sa.Integer(), nullable=False),
        sa.Column("expected_yield", sa.BigInteger(), nullable=False),
        sa.Column(
            "taking",
            sa.Enum(
                "single",
                "load",
                "batch",
                "bar",
                "lead time",
                name="taking",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.Column("cycle_ms", sa.BigInteger(), nullable=False),
        sa.Column("load_pieces", sa.Integer(), nullable=False),
        sa.Column("load_ms", sa.BigInteger(), nullable=False),
        sa.Column("batch_grams", sa.Integer(), nullable=False),
        sa.Column("recipe", sa.Text(), nullable=False),
        sa.Column("lead_days", sa.Integer(), nullable=False),
        sa.Column("send_ahead", sa.Integer(), nullable=False),
        sa.Column("first_piece", sa.Boolean(), nullable=False),
        sa.Column("instructions", sa.Text(), nullable=False),
        sa.CheckConstraint(
            "batch_grams >= 0 AND lead_days >= 0", name=op.f("ck_routing_operation_bounds_not_negative")
        ),
        sa.CheckConstraint("cycle_ms >= 0 AND load_ms >= 0", name=op.f("ck_routing_operation_times_not_negative")),
        sa.CheckConstraint(
            "expected_yield > 0 AND expected_yield <= 1000000", name=op.f("ck_routing_operation_yield_range")
        ),
        sa.CheckConstraint("load_pieces >= 1 AND send_ahead >= 0", name=op.f("ck_routing_operation_loads_positive")),
        sa.CheckConstraint("number BETWEEN 1 AND 999", name=op.f("ck_routing_operation_number_range")),
        sa.CheckConstraint(
            "setup_seconds >= 0 AND setup_loss >= 0", name=op.f("ck_routing_operation_setup_not_negative")
        ),
        sa.ForeignKeyConstraint(
            ["kind_id"], ["operation_kind.id"], name=op.f("fk_routing_operation_kind_id_operation_kind")
        ),
        sa.ForeignKeyConstraint(["routing_id"], ["routing.id"], name=op.f("fk_routing_operation_routing_id_routing")),
        sa.ForeignKeyConstraint(
            ["work_center_id"], ["work_center.id"], name=op.f("fk_routing_operation_work_center_id_work_center")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_routing_operation")),
        sa.UniqueConstraint("routing_id", "number", name=op.f("uq_routing_operation_routing_id_number")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("routing_operation", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_routing_operation_kind_id"), ["kind_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_routing_operation_routing_id"), ["routing_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_routing_operation_work_center_id"), ["work_center_id"], unique=False)

    op.create_table(
        "issue",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("receipt_id", sa.Integer(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=False),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("issued_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("issued_by_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("pieces <> 0", name=op.f("ck_issue_pieces_not_zero")),
        sa.ForeignKeyConstraint(["issued_by_id"], ["person.id"], name=op.f("fk_issue_issued_by_id_person")),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_issue_lot_id_lot")),
        sa.ForeignKeyConstraint(["receipt_id"], ["receipt.id"], name=op.f("fk_issue_receipt_id_receipt")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_issue")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("issue", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_issue_lot_id"), ["lot_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_issue_receipt_id"), ["receipt_id"], unique=False)

    op.create_table(
        "lot_delivery",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=False),
        sa.Column("delivery_id", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column("shipped", sa.Integer(), nullable=False),
        sa.CheckConstraint("quantity >= 1", name=op.f("ck_lot_delivery_quantity_positive")),
        sa.CheckConstraint("shipped BETWEEN 0 AND quantity", name=op.f("ck_lot_delivery_shipped_range")),
        sa.ForeignKeyConstraint(["delivery_id"], ["delivery.id"], name=op.f("fk_lot_delivery_delivery_id_delivery")),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_lot_delivery_lot_id_lot")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lot_delivery")),
        sa.UniqueConstraint("lot_id", "delivery_id", name=op.f("uq_lot_delivery_lot_id_delivery_id")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("lot_delivery", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_lot_delivery_delivery_id"), ["delivery_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_lot_delivery_lot_id"), ["lot_id"], unique=False)

    op.create_table(
        "lot_forecast",
        sa.Column("lot_id", sa.Integer(), nullable=False),
        sa.Column(
            "outlook",
            sa.Enum(
                "expected",
                "held",
                "no blanks",
                "no station",
                "no open hours",
                "bad input",
                name="outlook",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("finish_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("slack_seconds", sa.BigInteger(), nullable=True),
        sa.Column("late", sa.Boolean(), nullable=False),
        sa.Column("is_guess", sa.Boolean(), nullable=False),
        sa.Column("bare_finish_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("waits", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_lot_forecast_lot_id_lot")),
        sa.PrimaryKeyConstraint("lot_id", name=op.f("pk_lot_forecast")),
        sqlite_strict=True,
    )
    op.create_table(
        "lot_operation",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=False),
        sa.Column("code_number", sa.Integer(), nullable=False),
        sa.Column("kind_id", sa.Integer(), nullable=False),
        sa.Column("work_center_id", sa.Integer(), nullable=True),
        sa.Column("routing_operation_id", sa.Integer(), nullable=True),
        sa.Column("waiting", sa.Integer(), nullable=False),
        sa.Column("in_work", sa.Integer(), nullable=False),
        sa.Column("counted", sa.Integer(), nullable=False),
        sa.Column("held", sa.Integer(), nullable=False),
        sa.Column("scrapped", sa.Integer(), nullable=False),
        sa.Column("passed", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("setup_seconds", sa.Integer(), nullable=False),
        sa.Column("setup_loss", sa.Integer(), nullable=False),
        sa.Column("expected_yield", sa.BigInteger(), nullable=False),
        sa.Column(
            "taking",
            sa.Enum(
                "single",
                "load",
                "batch",
                "bar",
                "lead time",
                name="taking",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.Column("cycle_ms", sa.BigInteger(), nullable=False),
        sa.Column("load_pieces", sa.Integer(), nullable=False),
        sa.Column("load_ms", sa.BigInteger(), nullable=False),
        sa.Column("batch_grams", sa.Integer(), nullable=False),
        sa.Column("recipe", sa.Text(), nullable=False),
        sa.Column("lead_days", sa.Integer(), nullable=False),
        sa.Column("send_ahead", sa.Integer(), nullable=False),
        sa.Column("first_piece", sa.Boolean(), nullable=False),
        sa.Column("instructions", sa.Text(), nullable=False),
        sa.CheckConstraint("batch_grams >= 0 AND lead_days >= 0", name=op.f("ck_lot_operation_bounds_not_negative")),
        sa.CheckConstraint("cycle_ms >= 0 AND load_ms >= 0", name=op.f("ck_lot_operation_times_not_negative")),
        sa.CheckConstraint(
            "expected_yield > 0 AND expected_yield <= 1000000", name=op.f("ck_lot_operation_yield_range")
        ),
        sa.CheckConstraint("load_pieces >= 1 AND send_ahead >= 0", name=op.f("ck_lot_operation_loads_positive")),
        sa.CheckConstraint("number BETWEEN 1 AND 999", name=op.f("ck_lot_operation_number_range")),
        sa.CheckConstraint("setup_seconds >= 0 AND setup_loss >= 0", name=op.f("ck_lot_operation_setup_not_negative")),
        sa.CheckConstraint(
            "waiting >= 0 AND in_work >= 0 AND counted >= 0 AND held >= 0 AND scrapped >= 0 AND passed >= 0",
            name=op.f("ck_lot_operation_counts_not_negative"),
        ),
        sa.ForeignKeyConstraint(
            ["kind_id"], ["operation_kind.id"], name=op.f("fk_lot_operation_kind_id_operation_kind")
        ),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_lot_operation_lot_id_lot")),
        sa.ForeignKeyConstraint(
            ["routing_operation_id"],
            ["routing_operation.id"],
            name=op.f("fk_lot_operation_routing_operation_id_routing_operation"),
        ),
        sa.ForeignKeyConstraint(
            ["work_center_id"], ["work_center.id"], name=op.f("fk_lot_operation_work_center_id_work_center")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lot_operation")),
        sa.UniqueConstraint("code_number", name=op.f("uq_lot_operation_code_number")),
        sa.UniqueConstraint("lot_id", "number", name=op.f("uq_lot_operation_lot_id_number")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("lot_operation", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_lot_operation_kind_id"), ["kind_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_lot_operation_lot_id"), ["lot_id"], unique=False)
        batch_op.create_index(
            batch_op.f("ix_lot_operation_routing_operation_id"), ["routing_operation_id"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_lot_operation_work_center_id"), ["work_center_id"], unique=False)

    op.create_table(
        "operation_file",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("routing_operation_id", sa.Integer(), nullable=False),
        sa.Column("file_id", sa.Integer(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["file_id"], ["stored_file.id"], name=op.f("fk_operation_file_file_id_stored_file")),
        sa.ForeignKeyConstraint(
            ["routing_operation_id"],
            ["routing_operation.id"],
            name=op.f("fk_operation_file_routing_operation_id_routing_operation"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_operation_file")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("operation_file", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_operation_file_file_id"), ["file_id"], unique=False)
        batch_op.create_index(
            batch_op.f("ix_operation_file_routing_operation_id"), ["routing_operation_id"], unique=False
        )

    op.create_table(
        "purpose",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("line_id", sa.Integer(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=False),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.CheckConstraint("pieces >= 1", name=op.f("ck_purpose_pieces_positive")),
        sa.ForeignKeyConstraint(
            ["line_id"], ["material_order_line.id"], name=op.f("fk_purpose_line_id_material_order_line")
        ),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_purpose_lot_id_lot")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_purpose")),
        sa.UniqueConstraint("line_id", "lot_id", name=op.f("uq_purpose_line_id_lot_id")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("purpose", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_purpose_line_id"), ["line_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_purpose_lot_id"), ["lot_id"], unique=False)

    op.create_table(
        "receipt_correction",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("receipt_id", sa.Integer(), nullable=False),
        sa.Column("pieces_before", sa.Integer(), nullable=False),
        sa.Column("rejected_before", sa.Integer(), nullable=False),
        sa.Column("heat_before", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("corrected_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("corrected_by_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("length(reason) >= 1", name=op.f("ck_receipt_correction_reason_given")),
        sa.ForeignKeyConstraint(
            ["corrected_by_id"], ["person.id"], name=op.f("fk_receipt_correction_corrected_by_id_person")
        ),
        sa.ForeignKeyConstraint(["receipt_id"], ["receipt.id"], name=op.f("fk_receipt_correction_receipt_id_receipt")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_receipt_correction")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("receipt_correction", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_receipt_correction_receipt_id"), ["receipt_id"], unique=False)

    op.create_table(
        "shipment_line",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("shipment_id", sa.Integer(), nullable=False),
        sa.Column("delivery_id", sa.Integer(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=False),
        sa.Column("posting_id", sa.Integer(), nullable=False),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("raised", sa.Integer(), nullable=False),
        sa.CheckConstraint("pieces >= 1", name=op.f("ck_shipment_line_pieces_positive")),
        sa.CheckConstraint("raised BETWEEN 0 AND pieces", name=op.f("ck_shipment_line_raised_range")),
        sa.ForeignKeyConstraint(["delivery_id"], ["delivery.id"], name=op.f("fk_shipment_line_delivery_id_delivery")),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_shipment_line_lot_id_lot")),
        sa.ForeignKeyConstraint(["posting_id"], ["posting.id"], name=op.f("fk_shipment_line_posting_id_posting")),
        sa.ForeignKeyConstraint(["shipment_id"], ["shipment.id"], name=op.f("fk_shipment_line_shipment_id_shipment")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shipment_line")),
        sa.UniqueConstraint("posting_id", name=op.f("uq_shipment_line_posting_id")),
        sa.UniqueConstraint(
            "shipment_id", "delivery_id", "lot_id", name=op.f("uq_shipment_line_shipment_id_delivery_id_lot_id")
        ),
        sqlite_strict=True,
    )
    with op.batch_alter_table("shipment_line", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_shipment_line_delivery_id"), ["delivery_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_shipment_line_lot_id"), ["lot_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_shipment_line_shipment_id"), ["shipment_id"], unique=False)

    op.create_table(
        "traveler_print",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=False),
        sa.Column("printed_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("printed_by_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_traveler_print_lot_id_lot")),
        sa.ForeignKeyConstraint(["printed_by_id"], ["person.id"], name=op.f("fk_traveler_print_printed_by_id_person")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_traveler_print")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("traveler_print", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_traveler_print_lot_id"), ["lot_id"], unique=False)

    op.create_table(
        "component_use",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("posting_id", sa.Integer(), nullable=False),
        sa.Column("operation_id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("source_lot_id", sa.Integer(), nullable=True),
        sa.Column("receipt_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("(source_lot_id IS NULL) <> (receipt_id IS NULL)", name=op.f("ck_component_use_one_source")),
        sa.CheckConstraint("pieces <> 0", name=op.f("ck_component_use_pieces_not_zero")),
        sa.ForeignKeyConstraint(
            ["operation_id"], ["lot_operation.id"], name=op.f("fk_component_use_operation_id_lot_operation")
        ),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_component_use_part_id_part")),
        sa.ForeignKeyConstraint(["posting_id"], ["posting.id"], name=op.f("fk_component_use_posting_id_posting")),
        sa.ForeignKeyConstraint(["receipt_id"], ["receipt.id"], name=op.f("fk_component_use_receipt_id_receipt")),
        sa.ForeignKeyConstraint(["source_lot_id"], ["lot.id"], name=op.f("fk_component_use_source_lot_id_lot")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_component_use")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("component_use", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_component_use_operation_id"), ["operation_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_component_use_posting_id"), ["posting_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_component_use_receipt_id"), ["receipt_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_component_use_source_lot_id"), ["source_lot_id"], unique=False)

    op.create_table(
        "entry",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("posting_id", sa.Integer(), nullable=False),
        sa.Column("lot_id", sa.Integer(), nullable=False),
        sa.Column("quantity", sa.Integer(), nullable=False),
        sa.Column(
            "from_place",
            sa.Enum(
                "waiting",
                "in work",
                "counted",
                "held",
                "scrapped",
                "in stock",
                "shipped",
                "other lot",
                "started",
                "missing or found",
                name="from_place",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.Column("from_operation_id", sa.Integer(), nullable=True),
        sa.Column(
            "to_place",
            sa.Enum(
                "waiting",
                "in work",
                "counted",
                "held",
                "scrapped",
                "in stock",
                "shipped",
                "other lot",
                "started",
                "missing or found",
                name="to_place",
                native_enum=False,
                create_constraint=True,
                length=40,
            ),
            nullable=False,
        ),
        sa.Column("to_operation_id", sa.Integer(), nullable=True),
        sa.Column("cause_operation_id", sa.Integer(), nullable=True),
        sa.Column("other_lot_id", sa.Integer(), nullable=True),
        sa.Column("receipt_id", sa.Integer(), nullable=True),
        sa.Column("station_id", sa.Integer(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.CheckConstraint("quantity >= 0", name=op.f("ck_entry_quantity_not_negative")),
        sa.ForeignKeyConstraint(
            ["cause_operation_id"], ["lot_operation.id"], name=op.f("fk_entry_cause_operation_id_lot_operation")
        ),
        sa.ForeignKeyConstraint(
            ["from_operation_id"], ["lot_operation.id"], name=op.f("fk_entry_from_operation_id_lot_operation")
        ),
        sa.ForeignKeyConstraint(["lot_id"], ["lot.id"], name=op.f("fk_entry_lot_id_lot")),
        sa.ForeignKeyConstraint(["other_lot_id"], ["lot.id"], name=op.f("fk_entry_other_lot_id_lot")),
        sa.ForeignKeyConstraint(["posting_id"], ["posting.id"], name=op.f("fk_entry_posting_id_posting")),
        sa.ForeignKeyConstraint(["receipt_id"], ["receipt.id"], name=op.f("fk_entry_receipt_id_receipt")),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_entry_station_id_station")),
        sa.ForeignKeyConstraint(
            ["to_operation_id"], ["lot_operation.id"], name=op.f("fk_entry_to_operation_id_lot_operation")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_entry")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("entry", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_entry_from_operation_id"), ["from_operation_id"], unique=False)
        batch_op.create_index("ix_entry_lot_posting", ["lot_id", "posting_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_entry_other_lot_id"), ["other_lot_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_entry_posting_id"), ["posting_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_entry_receipt_id"), ["receipt_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_entry_to_operation_id"), ["to_operation_id"], unique=False)

    op.create_table(
        "job",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("operation_id", sa.Integer(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=False),
        sa.Column(
            "state",
            sa.Enum(
                "setting up", "running", "paused", name="jobstate", native_enum=False, create_constraint=True, length=40
            ),
            nullable=False,
        ),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("batch_id", sa.Integer(), nullable=True),
        sa.Column("begun_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("state_since", sa.DateTime(timezone=True), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("first_piece_good", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["batch_id"], ["posting.id"], name=op.f("fk_job_batch_id_posting")),
        sa.ForeignKeyConstraint(["operation_id"], ["lot_operation.id"], name=op.f("fk_job_operation_id_lot_operation")),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_job_person_id_person")),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_job_station_id_station")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_job")),
        sa.UniqueConstraint("operation_id", "station_id", name=op.f("uq_job_operation_id_station_id")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("job", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_job_operation_id"), ["operation_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_job_station_id"), ["station_id"], unique=False)

    op.create_table(
        "lot_component",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("operation_id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("per_piece", sa.Integer(), nullable=False),
        sa.CheckConstraint("per_piece >= 1", name=op.f("ck_lot_component_per_piece_positive")),
        sa.ForeignKeyConstraint(
            ["operation_id"], ["lot_operation.id"], name=op.f("fk_lot_component_operation_id_lot_operation")
        ),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_lot_component_part_id_part")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_lot_component")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("lot_component", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_lot_component_operation_id"), ["operation_id"], unique=False)

    op.create_table(
        "planned_run",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("operation_id", sa.Integer(), nullable=False),
        sa.Column("station_id", sa.Integer(), nullable=True),
        sa.Column("start_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("end_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("setup_seconds", sa.Integer(), nullable=False),
        sa.Column("work_seconds", sa.BigInteger(), nullable=False),
        sa.Column("pieces", sa.Integer(), nullable=False),
        sa.Column("load", sa.Integer(), nullable=False),
        sa.Column("under_way", sa.Boolean(), nullable=False),
        sa.Column("is_guess", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["operation_id"], ["lot_operation.id"], name=op.f("fk_planned_run_operation_id_lot_operation")
        ),
        sa.ForeignKeyConstraint(["station_id"], ["station.id"], name=op.f("fk_planned_run_station_id_station")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_planned_run")),
        sqlite_strict=True,
    )
    with op.batch_alter_table("planned_run", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_planned_run_operation_id"), ["operation_id"], unique=False)
        batch_op.create_index("ix_planned_run_station_start", ["station_id", "start_at"], unique=False)


def downgrade() -> None:
    with op.batch_alter_table("planned_run", schema=None) as batch_op:
        batch_op.drop_index("ix_planned_run_station_start")
        batch_op.drop_index(batch_op.f("ix_planned_run_operation_id"))

    op.drop_table("planned_run")
    with op.batch_alter_table("lot_component", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_lot_component_operation_id"))

    op.drop_table("lot_component")
    with op.batch_alter_table("job", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_job_station_id"))
        batch_op.drop_index(batch_op.f("ix_job_operation_id"))

    op.drop_table("job")
    with op.batch_alter_table("entry", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_entry_to_operation_id"))
        batch_op.drop_index(batch_op.f("ix_entry_receipt_id"))
        batch_op.drop_index(batch_op.f("ix_entry_posting_id"))
        batch_op.drop_index(batch_op.f("ix_entry_other_lot_id"))
        batch_op.drop_index("ix_entry_lot_posting")
        batch_op.drop_index(batch_op.f("ix_entry_from_operation_id"))

    op.drop_table("entry")
    with op.batch_alter_table("component_use", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_component_use_source_lot_id"))
        batch_op.drop_index(batch_op.f("ix_component_use_receipt_id"))
        batch_op.drop_index(batch_op.f("ix_component_use_posting_id"))
        batch_op.drop_index(batch_op.f("ix_component_use_operation_id"))

    op.drop_table("component_use")
    with op.batch_alter_table("traveler_print", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_traveler_print_lot_id"))

    op.drop_table("traveler_print")
    with op.batch_alter_table("shipment_line", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_shipment_line_shipment_id"))
        batch_op.drop_index(batch_op.f("ix_shipment_line_lot_id"))
        batch_op.drop_index(batch_op.f("ix_shipment_line_delivery_id"))

    op.drop_table("shipment_line")
    with op.batch_alter_table("receipt_correction", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_receipt_correction_receipt_id"))

    op.drop_table("receipt_correction")
    with op.batch_alter_table("purpose", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_purpose_lot_id"))
        batch_op.drop_index(batch_op.f("ix_purpose_line_id"))

    op.drop_table("purpose")
    with op.batch_alter_table("operation_file", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_operation_file_routing_operation_id"))
        batch_op.drop_index(batch_op.f("ix_operation_file_file_id"))

    op.drop_table("operation_file")
    with op.batch_alter_table("lot_operation", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_lot_operation_work_center_id"))
        batch_op.drop_index(batch_op.f("ix_lot_operation_routing_operation_id"))
        batch_op.drop_index(batch_op.f("ix_lot_operation_lot_id"))
        batch_op.drop_index(batch_op.f("ix_lot_operation_kind_id"))

    op.drop_table("lot_operation")
    op.drop_table("lot_forecast")
    with op.batch_alter_table("lot_delivery", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_lot_delivery_lot_id"))
        batch_op.drop_index(batch_op.f("ix_lot_delivery_delivery_id"))

    op.drop_table("lot_delivery")
    with op.batch_alter_table("issue", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_issue_receipt_id"))
        batch_op.drop_index(batch_op.f("ix_issue_lot_id"))

    op.drop_table("issue")
    with op.batch_alter_table("routing_operation", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_routing_operation_work_center_id"))
        batch_op.drop_index(batch_op.f("ix_routing_operation_routing_id"))
        batch_op.drop_index(batch_op.f("ix_routing_operation_kind_id"))

    op.drop_table("routing_operation")
    with op.batch_alter_table("receipt", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_receipt_revision_id"))
        batch_op.drop_index(batch_op.f("ix_receipt_part_id"))
        batch_op.drop_index(batch_op.f("ix_receipt_line_id"))
        batch_op.drop_index(batch_op.f("ix_receipt_heat"))

    op.drop_table("receipt")
    with op.batch_alter_table("lot", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_lot_routing_id"))
        batch_op.drop_index(batch_op.f("ix_lot_revision_id"))
        batch_op.drop_index(batch_op.f("ix_lot_parent_id"))
        batch_op.drop_index(batch_op.f("ix_lot_closed_at"))

    op.drop_table("lot")
    with op.batch_alter_table("expected_change", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_expected_change_line_id"))

    op.drop_table("expected_change")
    with op.batch_alter_table("delivery", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_delivery_line_id"))
        batch_op.drop_index(batch_op.f("ix_delivery_due"))
        batch_op.drop_index(batch_op.f("ix_delivery_closed_at"))

    op.drop_table("delivery")
    op.drop_table("station_forecast")
    with op.batch_alter_table("sign_on", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_sign_on_station_id"))
        batch_op.drop_index(batch_op.f("ix_sign_on_person_id"))

    op.drop_table("sign_on")
    with op.batch_alter_table("shift", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_shift_station_id"))

    op.drop_table("shift")
    with op.batch_alter_table("routing", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_routing_revision_id"))

    op.drop_table("routing")
    with op.batch_alter_table("posting", schema=None) as batch_op:
        batch_op.drop_index("ix_posting_station_happened")
        batch_op.drop_index(batch_op.f("ix_posting_person_id"))
        batch_op.drop_index(batch_op.f("ix_posting_happened_at"))

    op.drop_table("posting")
    with op.batch_alter_table("overtime", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_overtime_station_id"))

    op.drop_table("overtime")
    with op.batch_alter_table("order_line", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_order_line_revision_id"))
        batch_op.drop_index(batch_op.f("ix_order_line_order_id"))

    op.drop_table("order_line")
    with op.batch_alter_table("material_order_line", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_material_order_line_revision_id"))
        batch_op.drop_index(batch_op.f("ix_material_order_line_part_id"))
        batch_op.drop_index(batch_op.f("ix_material_order_line_order_id"))
        batch_op.drop_index(batch_op.f("ix_material_order_line_closed_at"))

    op.drop_table("material_order_line")
    with op.batch_alter_table("downtime", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_downtime_station_id"))

    op.drop_table("downtime")
    with op.batch_alter_table("component", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_component_revision_id"))
        batch_op.drop_index(batch_op.f("ix_component_part_id"))

    op.drop_table("component")
    with op.batch_alter_table("stored_page", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_stored_page_file_id"))

    op.drop_table("stored_page")
    with op.batch_alter_table("station", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_station_work_center_id"))

    op.drop_table("station")
    with op.batch_alter_table("sign_in_attempt", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_sign_in_attempt_person_id"))

    op.drop_table("sign_in_attempt")
    with op.batch_alter_table("shipment", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_shipment_customer_id"))

    op.drop_table("shipment")
    with op.batch_alter_table("revision", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_revision_part_id"))

    op.drop_table("revision")
    op.drop_table("person_role")
    with op.batch_alter_table("material_order", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_material_order_vendor_id"))

    op.drop_table("material_order")
    with op.batch_alter_table("customer_order", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_customer_order_their_number"))
        batch_op.drop_index(batch_op.f("ix_customer_order_customer_id"))

    op.drop_table("customer_order")
    op.drop_table("work_center")
    op.drop_table("vendor")
    op.drop_table("stored_file")
    op.drop_table("shop")
    op.drop_table("planner_lease")
    op.drop_table("person")
    op.drop_table("part")
    op.drop_table("operation_kind")
    op.drop_table("forecast")
    op.drop_table("customer")
    op.drop_table("closure")
    op.drop_table("change_number")
