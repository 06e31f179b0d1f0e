"""The first tables."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "bin_type",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("length(name) > 0", name=op.f("ck_bin_type_named")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bin_type")),
        sa.UniqueConstraint("name", name=op.f("uq_bin_type_name")),
    )
    op.create_table(
        "docket",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(), nullable=False),
        sa.Column("truck", sa.String(), nullable=False),
        sa.Column("received_at", sa.DateTime(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("length(number) > 0", name=op.f("ck_docket_numbered")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_docket")),
        sa.UniqueConstraint("number", name=op.f("uq_docket_number")),
    )
    op.create_table(
        "grower",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("contact", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("length(name) > 0", name=op.f("ck_grower_named")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_grower")),
        sa.UniqueConstraint("name", name=op.f("uq_grower_name")),
    )
    op.create_table(
        "spec_version",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("spec_key", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("crop_id", sa.String(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(), nullable=False),
        sa.Column("published_at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("length(sha256) = 64", name=op.f("ck_spec_version_hashed")),
        sa.CheckConstraint("version > 0", name=op.f("ck_spec_version_counts_from_one")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_spec_version")),
        sa.UniqueConstraint("sha256", name=op.f("uq_spec_version_sha256")),
        sa.UniqueConstraint("spec_key", "version", name=op.f("uq_spec_version_spec_key_version")),
    )
    with op.batch_alter_table("spec_version", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_spec_version_spec_key"), ["spec_key"], unique=False)

    op.create_table(
        "tray_type",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("crop_id", sa.String(), nullable=False),
        sa.Column("net_g", sa.Integer(), nullable=False),
        sa.Column("heaviest_dg", sa.Integer(), nullable=True),
        sa.Column("valid_from", sa.Date(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("heaviest_dg > 0", name=op.f("ck_tray_type_heaviest_has_weight")),
        sa.CheckConstraint("length(name) > 0", name=op.f("ck_tray_type_named")),
        sa.CheckConstraint("net_g > 0", name=op.f("ck_tray_type_has_weight")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tray_type")),
        sa.UniqueConstraint("name", "valid_from", name=op.f("uq_tray_type_name_valid_from")),
    )
    op.create_table(
        "block",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("grower_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("crop_id", sa.String(), nullable=False),
        sa.Column("variety", sa.String(), nullable=False),
        sa.Column("area_m2", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("area_m2 > 0", name=op.f("ck_block_has_area")),
        sa.CheckConstraint("length(name) > 0", name=op.f("ck_block_named")),
        sa.ForeignKeyConstraint(
            ["grower_id"], ["grower.id"], name=op.f("fk_block_grower_id_grower"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_block")),
        sa.UniqueConstraint("grower_id", "name", name=op.f("uq_block_grower_id_name")),
    )
    with op.batch_alter_table("block", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_block_grower_id"), ["grower_id"], unique=False)

    op.create_table(
        "market",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("currency", sa.String(), nullable=False),
        sa.Column("spec_version_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("length(currency) = 3", name=op.f("ck_market_currency_code")),
        sa.CheckConstraint("length(name) > 0", name=op.f("ck_market_named")),
        sa.ForeignKeyConstraint(
            ["spec_version_id"],
            ["spec_version.id"],
            name=op.f("fk_market_spec_version_id_spec_version"),
            ondelete="RESTRICT",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_market")),
        sa.UniqueConstraint("name", name=op.f("uq_market_name")),
    )
    with op.batch_alter_table("market", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_market_spec_version_id"), ["spec_version_id"], unique=False)

    op.create_table(
        "person",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("grower_id", sa.Integer(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("length(name) > 0", name=op.f("ck_person_named")),
        sa.ForeignKeyConstraint(
            ["grower_id"], ["grower.id"], name=op.f("fk_person_grower_id_grower"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
        sa.UniqueConstraint("name", name=op.f("uq_person_name")),
    )
    with op.batch_alter_table("person", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_person_grower_id"), ["grower_id"], unique=False)

    op.create_table(
        "tray_count",
        sa.Column("tray_type_id", sa.Integer(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.CheckConstraint("count > 0", name=op.f("ck_tray_count_some_fruit")),
        sa.ForeignKeyConstraint(
            ["tray_type_id"], ["tray_type.id"], name=op.f("fk_tray_count_tray_type_id_tray_type"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("tray_type_id", "count", name=op.f("pk_tray_count")),
    )
    with op.batch_alter_table("tray_count", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_tray_count_tray_type_id"), ["tray_type_id"], unique=False)

    op.create_table(
        "consignment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("docket_id", sa.Integer(), nullable=False),
        sa.Column("line", sa.Integer(), nullable=False),
        sa.Column("block_id", sa.Integer(), nullable=False),
        sa.Column("market_id", sa.Integer(), nullable=False),
        sa.Column("spec_version_id", sa.Integer(), nullable=False),
        sa.Column("picked_from", sa.DateTime(), nullable=False),
        sa.Column("picked_to", sa.DateTime(), nullable=False),
        sa.Column("received_at", sa.DateTime(), nullable=False),
        sa.Column("received_by_id", sa.Integer(), nullable=False),
        sa.Column("team", sa.String(), nullable=False),
        sa.Column("pulp_ddeg", sa.Integer(), nullable=True),
        sa.Column("grower_bins", sa.Integer(), nullable=True),
        sa.Column("voided_at", sa.DateTime(), nullable=True),
        sa.Column("voided_by_id", sa.Integer(), nullable=True),
        sa.Column("void_reason", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("(voided_at IS NULL) = (void_reason = '')", name=op.f("ck_consignment_void_has_reason")),
        sa.CheckConstraint("(voided_at IS NULL) = (voided_by_id IS NULL)", name=op.f("ck_consignment_void_has_person")),
        sa.CheckConstraint("grower_bins > 0", name=op.f("ck_consignment_grower_counted_some")),
        sa.CheckConstraint("line > 0", name=op.f("ck_consignment_line_counts_from_one")),
        sa.CheckConstraint("picked_from <= picked_to", name=op.f("ck_consignment_picked_forwards")),
        sa.CheckConstraint("picked_to <= received_at", name=op.f("ck_consignment_picked_before_received")),
        sa.ForeignKeyConstraint(
            ["block_id"], ["block.id"], name=op.f("fk_consignment_block_id_block"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["docket_id"], ["docket.id"], name=op.f("fk_consignment_docket_id_docket"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["market_id"], ["market.id"], name=op.f("fk_consignment_market_id_market"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["received_by_id"], ["person.id"], name=op.f("fk_consignment_received_by_id_person"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["spec_version_id"],
            ["spec_version.id"],
            name=op.f("fk_consignment_spec_version_id_spec_version"),
            ondelete="RESTRICT",
        ),
        sa.ForeignKeyConstraint(
            ["voided_by_id"], ["person.id"], name=op.f("fk_consignment_voided_by_id_person"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_consignment")),
        sa.UniqueConstraint("docket_id", "line", name=op.f("uq_consignment_docket_id_line")),
    )
    with op.batch_alter_table("consignment", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_consignment_block_id"), ["block_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_consignment_docket_id"), ["docket_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_consignment_market_id"), ["market_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_consignment_received_at"), ["received_at"], unique=False)
        batch_op.create_index(batch_op.f("ix_consignment_received_by_id"), ["received_by_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_consignment_spec_version_id"), ["spec_version_id"], unique=False)

    op.create_table(
        "market_tray",
        sa.Column("market_id", sa.Integer(), nullable=False),
        sa.Column("tray_type_id", sa.Integer(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["market_id"], ["market.id"], name=op.f("fk_market_tray_market_id_market"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["tray_type_id"], ["tray_type.id"], name=op.f("fk_market_tray_tray_type_id_tray_type"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("market_id", "tray_type_id", name=op.f("pk_market_tray")),
        sa.UniqueConstraint("market_id", "place", name=op.f("uq_market_tray_market_id_place")),
    )
    with op.batch_alter_table("market_tray", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_market_tray_market_id"), ["market_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_market_tray_tray_type_id"), ["tray_type_id"], unique=False)

    op.create_table(
        "person_role",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("role", sa.String(), nullable=False),
        sa.CheckConstraint(
            "role IN ('manager', 'supervisor', 'grader', 'marketer', 'grower')", name=op.f("ck_person_role_known_role")
        ),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_person_role_person_id_person"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("person_id", "role", name=op.f("pk_person_role")),
    )
    op.create_table(
        "posted_form",
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("answer", sa.String(), nullable=False),
        sa.Column("posted_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_posted_form_person_id_person"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_posted_form")),
    )
    with op.batch_alter_table("posted_form", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_posted_form_person_id"), ["person_id"], unique=False)

    op.create_table(
        "price_list",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("market_id", sa.Integer(), nullable=False),
        sa.Column("valid_from", sa.Date(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["market_id"], ["market.id"], name=op.f("fk_price_list_market_id_market"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_price_list")),
    )
    with op.batch_alter_table("price_list", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_price_list_market_id"), ["market_id"], unique=False)

    op.create_table(
        "quote",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("market_id", sa.Integer(), nullable=False),
        sa.Column("spec_version_id", sa.Integer(), nullable=False),
        sa.Column("currency", sa.String(), nullable=False),
        sa.Column("buyer", sa.String(), nullable=False),
        sa.Column("basis", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("valid_until", sa.Date(), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("made_by_id", sa.Integer(), nullable=False),
        sa.Column("withdrawn_at", sa.DateTime(), nullable=True),
        sa.Column("withdrawn_by_id", sa.Integer(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "(withdrawn_at IS NULL) = (withdrawn_by_id IS NULL)", name=op.f("ck_quote_withdrawal_has_person")
        ),
        sa.CheckConstraint("length(buyer) > 0", name=op.f("ck_quote_names_buyer")),
        sa.CheckConstraint("length(currency) = 3", name=op.f("ck_quote_currency_code")),
        sa.ForeignKeyConstraint(
            ["made_by_id"], ["person.id"], name=op.f("fk_quote_made_by_id_person"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["market_id"], ["market.id"], name=op.f("fk_quote_market_id_market"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["spec_version_id"],
            ["spec_version.id"],
            name=op.f("fk_quote_spec_version_id_spec_version"),
            ondelete="RESTRICT",
        ),
        sa.ForeignKeyConstraint(
            ["withdrawn_by_id"], ["person.id"], name=op.f("fk_quote_withdrawn_by_id_person"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quote")),
        sa.UniqueConstraint("number", name=op.f("uq_quote_number")),
    )
    with op.batch_alter_table("quote", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_quote_made_by_id"), ["made_by_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_quote_market_id"), ["market_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_quote_spec_version_id"), ["spec_version_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_quote_withdrawn_by_id"), ["withdrawn_by_id"], unique=False)

    op.create_table(
        "tare",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("bin_type_id", sa.Integer(), nullable=False),
        sa.Column("weighed_on", sa.Date(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("empties", sa.Integer(), nullable=False),
        sa.Column("total_g", sa.Integer(), nullable=False),
        sa.Column("weighed_by_id", sa.Integer(), nullable=False),
        sa.CheckConstraint("state IN ('dry', 'wet')", name=op.f("ck_tare_dry_or_wet")),
        sa.CheckConstraint("empties > 0", name=op.f("ck_tare_some_empties")),
        sa.CheckConstraint("total_g > 0", name=op.f("ck_tare_has_weight")),
        sa.ForeignKeyConstraint(
            ["bin_type_id"], ["bin_type.id"], name=op.f("fk_tare_bin_type_id_bin_type"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["weighed_by_id"], ["person.id"], name=op.f("fk_tare_weighed_by_id_person"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tare")),
        sa.UniqueConstraint("id", "bin_type_id", name=op.f("uq_tare_id_bin_type_id")),
    )
    with op.batch_alter_table("tare", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_tare_bin_type_id"), ["bin_type_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_tare_weighed_by_id"), ["weighed_by_id"], unique=False)

    op.create_table(
        "empties_weighing",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("consignment_id", sa.Integer(), nullable=False),
        sa.Column("bin_type_id", sa.Integer(), nullable=False),
        sa.Column("tare_id", sa.Integer(), nullable=False),
        sa.Column("weighed_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(
            ["bin_type_id"], ["bin_type.id"], name=op.f("fk_empties_weighing_bin_type_id_bin_type"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["consignment_id"],
            ["consignment.id"],
            name=op.f("fk_empties_weighing_consignment_id_consignment"),
            ondelete="RESTRICT",
        ),
        sa.ForeignKeyConstraint(
            ["tare_id", "bin_type_id"],
            ["tare.id", "tare.bin_type_id"],
            name=op.f("fk_empties_weighing_tare_id_bin_type_id_tare"),
            ondelete="RESTRICT",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_empties_weighing")),
        sa.UniqueConstraint(
            "consignment_id", "bin_type_id", name=op.f("uq_empties_weighing_consignment_id_bin_type_id")
        ),
        sa.UniqueConstraint("tare_id", name=op.f("uq_empties_weighing_tare_id")),
    )
    with op.batch_alter_table("empties_weighing", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_empties_weighing_bin_type_id"), ["bin_type_id"], unique=False)

    op.create_table(
        "outlet_price",
        sa.Column("price_list_id", sa.Integer(), nullable=False),
        sa.Column("outlet_id", sa.String(), nullable=False),
        sa.Column("kg_minor", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["price_list_id"],
            ["price_list.id"],
            name=op.f("fk_outlet_price_price_list_id_price_list"),
            ondelete="RESTRICT",
        ),
        sa.PrimaryKeyConstraint("price_list_id", "outlet_id", name=op.f("pk_outlet_price")),
    )
    with op.batch_alter_table("outlet_price", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_outlet_price_price_list_id"), ["price_list_id"], unique=False)

    op.create_table(
        "quote_line",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("quote_id", sa.Integer(), nullable=False),
        sa.Column("line", sa.Integer(), nullable=False),
        sa.Column("tray_type_id", sa.Integer(), nullable=False),
        sa.Column("class_id", sa.String(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("trays", sa.Integer(), nullable=False),
        sa.Column("price_minor", sa.Integer(), nullable=False),
        sa.Column("price_known_as", sa.String(), nullable=False),
        sa.Column("expected_trays", sa.Integer(), nullable=False),
        sa.Column("promised_trays", sa.Integer(), nullable=False),
        sa.CheckConstraint("price_known_as IN ('list', 'typed')", name=op.f("ck_quote_line_price_has_origin")),
        sa.CheckConstraint("price_minor >= 0", name=op.f("ck_quote_line_not_negative")),
        sa.CheckConstraint("trays > 0", name=op.f("ck_quote_line_some_trays")),
        sa.ForeignKeyConstraint(
            ["quote_id"], ["quote.id"], name=op.f("fk_quote_line_quote_id_quote"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["tray_type_id"], ["tray_type.id"], name=op.f("fk_quote_line_tray_type_id_tray_type"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quote_line")),
        sa.UniqueConstraint("quote_id", "line", name=op.f("uq_quote_line_quote_id_line")),
    )
    with op.batch_alter_table("quote_line", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_quote_line_quote_id"), ["quote_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_quote_line_tray_type_id"), ["tray_type_id"], unique=False)

    op.create_table(
        "quote_source",
        sa.Column("quote_id", sa.Integer(), nullable=False),
        sa.Column("consignment_id", sa.Integer(), nullable=False),
        sa.Column("n_fruit", sa.Integer(), nullable=False),
        sa.Column("n_draws", sa.Integer(), nullable=False),
        sa.CheckConstraint("n_fruit > 0 AND n_draws > 0", name=op.f("ck_quote_source_was_looked_at")),
        sa.ForeignKeyConstraint(
            ["consignment_id"],
            ["consignment.id"],
            name=op.f("fk_quote_source_consignment_id_consignment"),
            ondelete="RESTRICT",
        ),
        sa.ForeignKeyConstraint(
            ["quote_id"], ["quote.id"], name=op.f("fk_quote_source_quote_id_quote"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("quote_id", "consignment_id", name=op.f("pk_quote_source")),
    )
    with op.batch_alter_table("quote_source", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_quote_source_consignment_id"), ["consignment_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_quote_source_quote_id"), ["quote_id"], unique=False)

    op.create_table(
        "sample",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("consignment_id", sa.Integer(), nullable=False),
        sa.Column("question", sa.String(), nullable=False),
        sa.Column("tray_type_id", sa.Integer(), nullable=True),
        sa.Column("looked_for", sa.Text(), nullable=False),
        sa.Column("origin", sa.String(), nullable=False),
        sa.Column("file_sha256", sa.String(), nullable=False),
        sa.Column("started_at", sa.DateTime(), nullable=False),
        sa.Column("started_by_id", sa.Integer(), nullable=False),
        sa.Column("voided_at", sa.DateTime(), nullable=True),
        sa.Column("voided_by_id", sa.Integer(), nullable=True),
        sa.Column("void_reason", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("(voided_at IS NULL) = (void_reason = '')", name=op.f("ck_sample_void_has_reason")),
        sa.CheckConstraint("origin IN ('bench', 'file')", name=op.f("ck_sample_known_origin")),
        sa.CheckConstraint(
            "question IN ('intake', 'table', 'packed tray', 'reject belt')", name=op.f("ck_sample_known_question")
        ),
        sa.CheckConstraint("(voided_at IS NULL) = (voided_by_id IS NULL)", name=op.f("ck_sample_void_has_person")),
        sa.CheckConstraint("length(file_sha256) IN (0, 64)", name=op.f("ck_sample_file_hashed")),
        sa.ForeignKeyConstraint(
            ["consignment_id"],
            ["consignment.id"],
            name=op.f("fk_sample_consignment_id_consignment"),
            ondelete="RESTRICT",
        ),
        sa.ForeignKeyConstraint(
            ["started_by_id"], ["person.id"], name=op.f("fk_sample_started_by_id_person"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["tray_type_id"], ["tray_type.id"], name=op.f("fk_sample_tray_type_id_tray_type"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["voided_by_id"], ["person.id"], name=op.f("fk_sample_voided_by_id_person"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sample")),
    )
    with op.batch_alter_table("sample", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sample_consignment_id"), ["consignment_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_sample_started_by_id"), ["started_by_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_sample_tray_type_id"), ["tray_type_id"], unique=False)
        batch_op.create_index(
            "uq_sample_file",
            ["consignment_id", "file_sha256"],
            unique=True,
            sqlite_where=sa.text("file_sha256 <> '' AND voided_at IS NULL"),
            postgresql_where=sa.text("file_sha256 <> '' AND voided_at IS NULL"),
        )

    op.create_table(
        "tray_price",
        sa.Column("price_list_id", sa.Integer(), nullable=False),
        sa.Column("tray_type_id", sa.Integer(), nullable=False),
        sa.Column("class_id", sa.String(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("price_minor", sa.Integer(), nullable=False),
        sa.CheckConstraint("price_minor >= 0", name=op.f("ck_tray_price_not_negative")),
        sa.ForeignKeyConstraint(
            ["price_list_id"],
            ["price_list.id"],
            name=op.f("fk_tray_price_price_list_id_price_list"),
            ondelete="RESTRICT",
        ),
        sa.ForeignKeyConstraint(
            ["tray_type_id"], ["tray_type.id"], name=op.f("fk_tray_price_tray_type_id_tray_type"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("price_list_id", "tray_type_id", "class_id", "count", name=op.f("pk_tray_price")),
    )
    with op.batch_alter_table("tray_price", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_tray_price_price_list_id"), ["price_list_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_tray_price_tray_type_id"), ["tray_type_id"], unique=False)

    op.create_table(
        "weighing",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("consignment_id", sa.Integer(), nullable=False),
        sa.Column("line", sa.Integer(), nullable=False),
        sa.Column("gross_g", sa.Integer(), nullable=False),
        sa.CheckConstraint("gross_g > 0", name=op.f("ck_weighing_has_weight")),
        sa.ForeignKeyConstraint(
            ["consignment_id"],
            ["consignment.id"],
            name=op.f("fk_weighing_consignment_id_consignment"),
            ondelete="RESTRICT",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_weighing")),
        sa.UniqueConstraint("consignment_id", "line", name=op.f("uq_weighing_consignment_id_line")),
        sa.UniqueConstraint("id", "consignment_id", name=op.f("uq_weighing_id_consignment_id")),
    )
    with op.batch_alter_table("weighing", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_weighing_consignment_id"), ["consignment_id"], unique=False)

    op.create_table(
        "bin",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("consignment_id", sa.Integer(), nullable=False),
        sa.Column("weighing_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("label", sa.String(), nullable=False),
        sa.Column("bin_type_id", sa.Integer(), nullable=False),
        sa.Column("tare_id", sa.Integer(), nullable=False),
        sa.Column("part", sa.Boolean(), nullable=False),
        sa.CheckConstraint("number > 0", name=op.f("ck_bin_counts_from_one")),
        sa.ForeignKeyConstraint(
            ["bin_type_id"], ["bin_type.id"], name=op.f("fk_bin_bin_type_id_bin_type"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["consignment_id"], ["consignment.id"], name=op.f("fk_bin_consignment_id_consignment"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["tare_id", "bin_type_id"],
            ["tare.id", "tare.bin_type_id"],
            name=op.f("fk_bin_tare_id_bin_type_id_tare"),
            ondelete="RESTRICT",
        ),
        sa.ForeignKeyConstraint(
            ["weighing_id", "consignment_id"],
            ["weighing.id", "weighing.consignment_id"],
            name=op.f("fk_bin_weighing_id_consignment_id_weighing"),
            ondelete="RESTRICT",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bin")),
        sa.UniqueConstraint("consignment_id", "number", name=op.f("uq_bin_consignment_id_number")),
    )
    with op.batch_alter_table("bin", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_bin_bin_type_id"), ["bin_type_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_bin_consignment_id"), ["consignment_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_bin_tare_id"), ["tare_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_bin_weighing_id"), ["weighing_id"], unique=False)

    op.create_table(
        "quote_hold",
        sa.Column("quote_line_id", sa.Integer(), nullable=False),
        sa.Column("consignment_id", sa.Integer(), nullable=False),
        sa.Column("trays", sa.Integer(), nullable=False),
        sa.CheckConstraint("trays > 0", name=op.f("ck_quote_hold_some_trays")),
        sa.ForeignKeyConstraint(
            ["consignment_id"],
            ["consignment.id"],
            name=op.f("fk_quote_hold_consignment_id_consignment"),
            ondelete="RESTRICT",
        ),
        sa.ForeignKeyConstraint(
            ["quote_line_id"],
            ["quote_line.id"],
            name=op.f("fk_quote_hold_quote_line_id_quote_line"),
            ondelete="RESTRICT",
        ),
        sa.PrimaryKeyConstraint("quote_line_id", "consignment_id", name=op.f("pk_quote_hold")),
    )
    with op.batch_alter_table("quote_hold", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_quote_hold_consignment_id"), ["consignment_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_quote_hold_quote_line_id"), ["quote_line_id"], unique=False)

    op.create_table(
        "draw",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sample_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("turn", sa.Integer(), nullable=False),
        sa.Column("bin_id", sa.Integer(), nullable=True),
        sa.Column("label", sa.String(), nullable=False),
        sa.CheckConstraint("number > 0", name=op.f("ck_draw_counts_from_one")),
        sa.ForeignKeyConstraint(["bin_id"], ["bin.id"], name=op.f("fk_draw_bin_id_bin"), ondelete="RESTRICT"),
        sa.ForeignKeyConstraint(
            ["sample_id"], ["sample.id"], name=op.f("fk_draw_sample_id_sample"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_draw")),
        sa.UniqueConstraint("sample_id", "number", name=op.f("uq_draw_sample_id_number")),
        sa.UniqueConstraint("sample_id", "turn", name=op.f("uq_draw_sample_id_turn")),
    )
    with op.batch_alter_table("draw", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_draw_bin_id"), ["bin_id"], unique=False)

    op.create_table(
        "fruit",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sample_id", sa.Integer(), nullable=False),
        sa.Column("draw_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("weight_dg", sa.Integer(), nullable=False),
        sa.Column("stage", sa.Integer(), nullable=True),
        sa.Column("size_code", sa.String(), nullable=True),
        sa.Column("entry_key", sa.String(), nullable=False),
        sa.Column("measured_at", sa.DateTime(), nullable=False),
        sa.Column("measured_by_id", sa.Integer(), nullable=False),
        sa.Column("voided_at", sa.DateTime(), nullable=True),
        sa.Column("voided_by_id", sa.Integer(), nullable=True),
        sa.Column("void_reason", sa.String(), nullable=False),
        sa.CheckConstraint("(voided_at IS NULL) = (void_reason = '')", name=op.f("ck_fruit_void_has_reason")),
        sa.CheckConstraint("(voided_at IS NULL) = (voided_by_id IS NULL)", name=op.f("ck_fruit_void_has_person")),
        sa.CheckConstraint("number > 0", name=op.f("ck_fruit_counts_from_one")),
        sa.CheckConstraint("weight_dg > 0", name=op.f("ck_fruit_has_weight")),
        sa.ForeignKeyConstraint(["draw_id"], ["draw.id"], name=op.f("fk_fruit_draw_id_draw"), ondelete="RESTRICT"),
        sa.ForeignKeyConstraint(
            ["measured_by_id"], ["person.id"], name=op.f("fk_fruit_measured_by_id_person"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["sample_id"], ["sample.id"], name=op.f("fk_fruit_sample_id_sample"), ondelete="RESTRICT"
        ),
        sa.ForeignKeyConstraint(
            ["voided_by_id"], ["person.id"], name=op.f("fk_fruit_voided_by_id_person"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_fruit")),
        sa.UniqueConstraint("entry_key", name=op.f("uq_fruit_entry_key")),
        sa.UniqueConstraint("sample_id", "number", name=op.f("uq_fruit_sample_id_number")),
    )
    with op.batch_alter_table("fruit", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_fruit_draw_id"), ["draw_id"], unique=False)

    op.create_table(
        "fruit_defect",
        sa.Column("fruit_id", sa.Integer(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("area_mm2", sa.Integer(), nullable=True),
        sa.Column("share_bp", sa.Integer(), nullable=True),
        sa.CheckConstraint("area_mm2 > 0", name=op.f("ck_fruit_defect_area_above_zero")),
        sa.CheckConstraint("area_mm2 IS NULL OR share_bp IS NULL", name=op.f("ck_fruit_defect_measured_one_way")),
        sa.CheckConstraint("share_bp > 0 AND share_bp <= 10000", name=op.f("ck_fruit_defect_share_in_range")),
        sa.ForeignKeyConstraint(
            ["fruit_id"], ["fruit.id"], name=op.f("fk_fruit_defect_fruit_id_fruit"), ondelete="RESTRICT"
        ),
        sa.PrimaryKeyConstraint("fruit_id", "place", name=op.f("pk_fruit_defect")),
    )


def downgrade() -> None:
    """Take it back."""
    op.drop_table("fruit_defect")
    with op.batch_alter_table("fruit", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_fruit_draw_id"))

    op.drop_table("fruit")
    with op.batch_alter_table("draw", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_draw_bin_id"))

    op.drop_table("draw")
    with op.batch_alter_table("quote_hold", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_quote_hold_quote_line_id"))
        batch_op.drop_index(batch_op.f("ix_quote_hold_consignment_id"))

    op.drop_table("quote_hold")
    with op.batch_alter_table("bin", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_bin_weighing_id"))
        batch_op.drop_index(batch_op.f("ix_bin_tare_id"))
        batch_op.drop_index(batch_op.f("ix_bin_consignment_id"))
        batch_op.drop_index(batch_op.f("ix_bin_bin_type_id"))

    op.drop_table("bin")
    with op.batch_alter_table("weighing", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_weighing_consignment_id"))

    op.drop_table("weighing")
    with op.batch_alter_table("tray_price", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_tray_price_tray_type_id"))
        batch_op.drop_index(batch_op.f("ix_tray_price_price_list_id"))

    op.drop_table("tray_price")
    with op.batch_alter_table("sample", schema=None) as batch_op:
        batch_op.drop_index(
            "uq_sample_file",
            sqlite_where=sa.text("file_sha256 <> '' AND voided_at IS NULL"),
            postgresql_where=sa.text("file_sha256 <> '' AND voided_at IS NULL"),
        )
        batch_op.drop_index(batch_op.f("ix_sample_tray_type_id"))
        batch_op.drop_index(batch_op.f("ix_sample_started_by_id"))
        batch_op.drop_index(batch_op.f("ix_sample_consignment_id"))

    op.drop_table("sample")
    with op.batch_alter_table("quote_source", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_quote_source_quote_id"))
        batch_op.drop_index(batch_op.f("ix_quote_source_consignment_id"))

    op.drop_table("quote_source")
    with op.batch_alter_table("quote_line", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_quote_line_tray_type_id"))
        batch_op.drop_index(batch_op.f("ix_quote_line_quote_id"))

    op.drop_table("quote_line")
    with op.batch_alter_table("outlet_price", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_outlet_price_price_list_id"))

    op.drop_table("outlet_price")
    with op.batch_alter_table("empties_weighing", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_empties_weighing_bin_type_id"))

    op.drop_table("empties_weighing")
    with op.batch_alter_table("tare", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_tare_weighed_by_id"))
        batch_op.drop_index(batch_op.f("ix_tare_bin_type_id"))

    op.drop_table("tare")
    with op.batch_alter_table("quote", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_quote_withdrawn_by_id"))
        batch_op.drop_index(batch_op.f("ix_quote_spec_version_id"))
        batch_op.drop_index(batch_op.f("ix_quote_market_id"))
        batch_op.drop_index(batch_op.f("ix_quote_made_by_id"))

    op.drop_table("quote")
    with op.batch_alter_table("price_list", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_price_list_market_id"))

    op.drop_table("price_list")
    with op.batch_alter_table("posted_form", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_posted_form_person_id"))

    op.drop_table("posted_form")
    op.drop_table("person_role")
    with op.batch_alter_table("market_tray", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_market_tray_tray_type_id"))
        batch_op.drop_index(batch_op.f("ix_market_tray_market_id"))

    op.drop_table("market_tray")
    with op.batch_alter_table("consignment", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_consignment_spec_version_id"))
        batch_op.drop_index(batch_op.f("ix_consignment_received_by_id"))
        batch_op.drop_index(batch_op.f("ix_consignment_received_at"))
        batch_op.drop_index(batch_op.f("ix_consignment_market_id"))
        batch_op.drop_index(batch_op.f("ix_consignment_docket_id"))
        batch_op.drop_index(batch_op.f("ix_consignment_block_id"))

    op.drop_table("consignment")
    with op.batch_alter_table("tray_count", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_tray_count_tray_type_id"))

    op.drop_table("tray_count")
    with op.batch_alter_table("person", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_person_grower_id"))

    op.drop_table("person")
    with op.batch_alter_table("market", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_market_spec_version_id"))

    op.drop_table("market")
    with op.batch_alter_table("block", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_block_grower_id"))

    op.drop_table("block")
    op.drop_table("tray_type")
    with op.batch_alter_table("spec_version", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_spec_version_spec_key"))

    op.drop_table("spec_version")
    op.drop_table("grower")
    op.drop_table("docket")
    op.drop_table("bin_type")
