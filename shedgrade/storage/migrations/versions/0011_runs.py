"""Runs, what happened in them, and bins that several runs fill."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "run",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("spec_version_id", sa.Integer(), nullable=False),
        sa.Column("rule", sa.String(), nullable=False),
        sa.Column("started_at", sa.DateTime(), nullable=False),
        sa.Column("started_by_id", sa.Integer(), nullable=False),
        sa.Column("finished_at", sa.DateTime(), nullable=True),
        sa.Column("voided_at", sa.DateTime(), nullable=True),
        sa.Column("voided_by_id", sa.Integer(), nullable=True),
        sa.Column("void_reason", sa.String(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("finished_at >= started_at", name=op.f("ck_run_runs_forwards")),
        sa.CheckConstraint("(voided_at IS NULL) = (void_reason = '')", name=op.f("ck_run_void_has_reason")),
        sa.CheckConstraint("rule IN ('net', 'bins', 'parts')", name=op.f("ck_run_known_rule")),
        sa.CheckConstraint("(voided_at IS NULL) = (voided_by_id IS NULL)", name=op.f("ck_run_void_has_person")),
        sa.CheckConstraint("kind IN ('packing', 'sizing pass', 're-run')", name=op.f("ck_run_known_kind")),
        _to("run", "spec_version_id", "spec_version"),
        _to("run", "started_by_id", "person"),
        _to("run", "voided_by_id", "person"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_run")),
    )
    op.create_index(op.f("ix_run_spec_version_id"), "run", ["spec_version_id"])
    op.create_index(op.f("ix_run_started_at"), "run", ["started_at"])
    op.create_table(
        "run_load",
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("consignment_id", sa.Integer(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("parts", sa.Integer(), nullable=False),
        sa.CheckConstraint("parts >= 0", name=op.f("ck_run_load_not_negative")),
        _to("run_load", "run_id", "run"),
        _to("run_load", "consignment_id", "consignment"),
        sa.PrimaryKeyConstraint("run_id", "consignment_id", name=op.f("pk_run_load")),
    )
    op.create_index(op.f("ix_run_load_consignment_id"), "run_load", ["consignment_id"])
    op.create_table(
        "run_tray",
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("tray_type_id", sa.Integer(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        _to("run_tray", "run_id", "run"),
        _to("run_tray", "tray_type_id", "tray_type"),
        sa.PrimaryKeyConstraint("run_id", "tray_type_id", name=op.f("pk_run_tray")),
    )
    op.create_index(op.f("ix_run_tray_tray_type_id"), "run_tray", ["tray_type_id"])
    op.create_table(
        "run_break",
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("stretch", sa.Integer(), nullable=False),
        sa.Column("tray_type_id", sa.Integer(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("from_dg", sa.Integer(), nullable=False),
        sa.CheckConstraint("count > 0", name=op.f("ck_run_break_some_fruit")),
        sa.CheckConstraint("from_dg > 0", name=op.f("ck_run_break_has_weight")),
        sa.CheckConstraint("stretch > 0", name=op.f("ck_run_break_counts_from_one")),
        _to("run_break", "run_id", "run"),
        sa.ForeignKeyConstraint(
            ["tray_type_id", "run_id"],
            ["run_tray.tray_type_id", "run_tray.run_id"],
            name=op.f("fk_run_break_tray_type_id_run_id_run_tray"),
            ondelete="RESTRICT",
        ),
        sa.PrimaryKeyConstraint("run_id", "stretch", "tray_type_id", "count", name=op.f("pk_run_break")),
    )
    op.create_table(
        "shared_bin",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("outlet_id", sa.String(), nullable=False),
        sa.Column("label", sa.String(), nullable=False),
        sa.Column("rule", sa.String(), nullable=False),
        sa.Column("opened_at", sa.DateTime(), nullable=False),
        sa.Column("opened_by_id", sa.Integer(), nullable=False),
        sa.Column("gross_g", sa.Integer(), nullable=True),
        sa.Column("tare_g", sa.Integer(), nullable=True),
        sa.Column("weighed_at", sa.DateTime(), nullable=True),
        sa.Column("weighed_by_id", sa.Integer(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("rule IN ('net', 'bins')", name=op.f("ck_shared_bin_known_rule")),
        sa.CheckConstraint("(gross_g IS NULL) = (weighed_at IS NULL)", name=op.f("ck_shared_bin_weight_has_time")),
        sa.CheckConstraint("(gross_g IS NULL) = (tare_g IS NULL)", name=op.f("ck_shared_bin_weight_has_tare")),
        sa.CheckConstraint("tare_g >= 0 AND tare_g < gross_g", name=op.f("ck_shared_bin_tare_below_gross")),
        sa.CheckConstraint("length(outlet_id) > 0", name=op.f("ck_shared_bin_goes_somewhere")),
        sa.CheckConstraint("(gross_g IS NULL) = (weighed_by_id IS NULL)", name=op.f("ck_shared_bin_weight_has_person")),
        _to("shared_bin", "opened_by_id", "person"),
        _to("shared_bin", "weighed_by_id", "person"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shared_bin")),
    )
    op.create_table(
        "run_event",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("by_id", sa.Integer(), nullable=False),
        sa.Column("entry_key", sa.String(), nullable=True),
        sa.Column("corrects_id", sa.Integer(), nullable=True),
        sa.Column("stretch", sa.Integer(), nullable=True),
        sa.Column("class_id", sa.String(), nullable=True),
        sa.Column("tray_type_id", sa.Integer(), nullable=True),
        sa.Column("counts", sa.String(), nullable=True),
        sa.Column("trays", sa.Integer(), nullable=True),
        sa.Column("gross_g", sa.Integer(), nullable=True),
        sa.Column("tare_g", sa.Integer(), nullable=True),
        sa.Column("consignment_id", sa.Integer(), nullable=True),
        sa.Column("bins", sa.Integer(), nullable=True),
        sa.Column("net_g", sa.Integer(), nullable=True),
        sa.Column("fruit", sa.Integer(), nullable=True),
        sa.Column("way", sa.String(), nullable=True),
        sa.Column("name", sa.String(), nullable=True),
        sa.Column("other_run_id", sa.Integer(), nullable=True),
        sa.Column("shared_bin_id", sa.Integer(), nullable=True),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.CheckConstraint(
            "(kind IN ('trays', 'tray weighed')) = (counts IS NOT NULL)", name=op.f("ck_run_event_tray_has_counts")
        ),
        sa.CheckConstraint("(kind = 'bins') = (bins IS NOT NULL)", name=op.f("ck_run_event_bins_are_counted")),
        sa.CheckConstraint("fruit > 0", name=op.f("ck_run_event_some_fruit")),
        sa.CheckConstraint(
            "(kind = 'tray weighed') = (gross_g IS NOT NULL)", name=op.f("ck_run_event_weighed_has_gross")
        ),
        sa.CheckConstraint(
            "kind NOT IN ('trays', 'tray weighed') OR (stretch > 0 AND class_id <> '')",
            name=op.f("ck_run_event_tray_has_class"),
        ),
        sa.CheckConstraint("bins > 0", name=op.f("ck_run_event_some_bins")),
        sa.CheckConstraint("(kind = 'trays') = (trays IS NOT NULL)", name=op.f("ck_run_event_trays_are_counted")),
        sa.CheckConstraint("tare_g >= 0 AND tare_g < gross_g", name=op.f("ck_run_event_tare_below_gross")),
        sa.CheckConstraint("number > 0", name=op.f("ck_run_event_counts_from_one")),
        sa.CheckConstraint("net_g > 0", name=op.f("ck_run_event_has_weight")),
        sa.CheckConstraint("trays > 0", name=op.f("ck_run_event_some_trays")),
        _to("run_event", "run_id", "run"),
        _to("run_event", "by_id", "person"),
        sa.ForeignKeyConstraint(
            ["corrects_id", "run_id"],
            ["run_event.id", "run_event.run_id"],
            name=op.f("fk_run_event_corrects_id_run_id_run_event"),
            ondelete="RESTRICT",
        ),
        sa.ForeignKeyConstraint(
            ["tray_type_id", "run_id"],
            ["run_tray.tray_type_id", "run_tray.run_id"],
            name=op.f("fk_run_event_tray_type_id_run_id_run_tray"),
            ondelete="RESTRICT",
        ),
        sa.ForeignKeyConstraint(
            ["consignment_id", "run_id"],
            ["run_load.consignment_id", "run_load.run_id"],
            name=op.f("fk_run_event_consignment_id_run_id_run_load"),
            ondelete="RESTRICT",
        ),
        _to("run_event", "other_run_id", "run"),
        _to("run_event", "shared_bin_id", "shared_bin"),
        _to("run_event", "person_id", "person"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_run_event")),
        sa.UniqueConstraint("entry_key", name=op.f("uq_run_event_entry_key")),
        sa.UniqueConstraint("id", "run_id", name=op.f("uq_run_event_id_run_id")),
        sa.UniqueConstraint("run_id", "number", name=op.f("uq_run_event_run_id_number")),
    )
    op.create_index(op.f("ix_run_event_by_kind"), "run_event", ["run_id", "kind", "number"])
    op.create_index(op.f("ix_run_event_consignment_id"), "run_event", ["consignment_id"])
    op.create_index(op.f("ix_run_event_corrects_id"), "run_event", ["corrects_id"])
    op.create_index(op.f("ix_run_event_other_run_id"), "run_event", ["other_run_id"])
    op.create_index(op.f("ix_run_event_shared_bin_id"), "run_event", ["shared_bin_id"])
    op.create_table(
        "run_left",
        sa.Column("event_id", sa.Integer(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("what", sa.String(), nullable=False),
        sa.Column("way", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("other_run_id", sa.Integer(), nullable=True),
        sa.Column("fruit", sa.Integer(), nullable=False),
        sa.Column("net_g", sa.Integer(), nullable=True),
        sa.Column("tray_type_id", sa.Integer(), nullable=True),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "what IN ('loose fruit', 'part tray', 'lugs to re-run')", name=op.f("ck_run_left_known_thing")
        ),
        sa.CheckConstraint("way IN ('outlet', 'carried out', 're-run')", name=op.f("ck_run_left_known_way")),
        sa.CheckConstraint(
            "net_g IS NOT NULL OR (fruit > 0 AND count > 0 AND tray_type_id IS NOT NULL)",
            name=op.f("ck_run_left_weighed_or_counted"),
        ),
        sa.CheckConstraint("net_g > 0", name=op.f("ck_run_left_has_weight")),
        _to("run_left", "event_id", "run_event"),
        _to("run_left", "other_run_id", "run"),
        _to("run_left", "tray_type_id", "tray_type"),
        sa.PrimaryKeyConstraint("event_id", "place", name=op.f("pk_run_left")),
    )
    op.create_index(op.f("ix_run_left_other_run_id"), "run_left", ["other_run_id"])
    op.create_table(
        "run_tally",
        sa.Column("run_id", sa.Integer(), nullable=False),
        sa.Column("stretch", sa.Integer(), nullable=False),
        sa.Column("class_id", sa.String(), nullable=False),
        sa.Column("tray_type_id", sa.Integer(), nullable=False),
        sa.Column("counts", sa.String(), nullable=False),
        sa.Column("trays", sa.Integer(), nullable=False),
        sa.Column("weighed", sa.Integer(), nullable=False),
        sa.Column("total_g", sa.BigInteger(), nullable=False),
        sa.Column("squares_g2", sa.BigInteger(), nullable=False),
        sa.Column("short", sa.Integer(), nullable=False),
        sa.CheckConstraint("short >= 0 AND short <= weighed", name=op.f("ck_run_tally_short_are_weighed")),
        sa.CheckConstraint("trays >= 0", name=op.f("ck_run_tally_trays_not_negative")),
        _to("run_tally", "run_id", "run"),
        sa.ForeignKeyConstraint(
            ["tray_type_id", "run_id"],
            ["run_tray.tray_type_id", "run_tray.run_id"],
            name=op.f("fk_run_tally_tray_type_id_run_id_run_tray"),
            ondelete="RESTRICT",
        ),
        sa.PrimaryKeyConstraint("run_id", "stretch", "class_id", "tray_type_id", "counts", name=op.f("pk_run_tally")),
    )


def downgrade() -> None:
    """Take it back."""
    for table in ("run_tally", "run_left", "run_event", "shared_bin", "run_break", "run_tray", "run_load", "run"):
        op.drop_table(table)


def _to(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    name = op.f(f"fk_{table}_{column}_{target}")
    return sa.ForeignKeyConstraint([column], [f"{target}.id"], name=name, ondelete="RESTRICT")
