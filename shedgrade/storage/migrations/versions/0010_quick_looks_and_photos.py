"""Trays looked at by eye, and photos of faults."""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the change."""
    op.create_table(
        "quick_look",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("consignment_id", sa.Integer(), nullable=False),
        sa.Column("fruit", sa.Integer(), nullable=False),
        sa.Column("gross_g", sa.Integer(), nullable=False),
        sa.Column("tare_g", sa.Integer(), nullable=True),
        sa.Column("looked_at", sa.DateTime(), nullable=False),
        sa.Column("looked_by_id", sa.Integer(), nullable=False),
        *_voiding(),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("fruit > 0", name=op.f("ck_quick_look_some_fruit")),
        sa.CheckConstraint("gross_g > 0", name=op.f("ck_quick_look_has_weight")),
        sa.CheckConstraint("tare_g >= 0 AND tare_g < gross_g", name=op.f("ck_quick_look_tare_below_gross")),
        *_void_rules("quick_look"),
        _to("quick_look", "consignment_id", "consignment"),
        _to("quick_look", "looked_by_id", "person"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quick_look")),
    )
    op.create_index(op.f("ix_quick_look_consignment_id"), "quick_look", ["consignment_id"])
    op.create_table(
        "quick_look_fruit",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("quick_look_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("class_id", sa.String(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("tapped_at", sa.DateTime(), nullable=False),
        sa.Column("tapped_by_id", sa.Integer(), nullable=False),
        *_voiding(),
        sa.CheckConstraint("number > 0", name=op.f("ck_quick_look_fruit_counts_from_one")),
        *_void_rules("quick_look_fruit"),
        _to("quick_look_fruit", "quick_look_id", "quick_look"),
        _to("quick_look_fruit", "tapped_by_id", "person"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_quick_look_fruit")),
        sa.UniqueConstraint("quick_look_id", "number", name=op.f("uq_quick_look_fruit_quick_look_id_number")),
    )
    op.create_table(
        "photo",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("consignment_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("taken_at", sa.DateTime(), nullable=False),
        sa.Column("taken_by_id", sa.Integer(), nullable=False),
        *_voiding(),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.CheckConstraint("place >= 1 AND place <= 3", name=op.f("ck_photo_at_most_three")),
        sa.CheckConstraint("length(kind) > 0", name=op.f("ck_photo_shows_something")),
        sa.CheckConstraint("length(content) > 0", name=op.f("ck_photo_holds_something")),
        *_void_rules("photo"),
        _to("photo", "consignment_id", "consignment"),
        _to("photo", "taken_by_id", "person"),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo")),
    )
    op.create_index(op.f("ix_photo_consignment_id"), "photo", ["consignment_id"])
    stands = sa.text("voided_at IS NULL")
    op.create_index(
        "uq_photo_standing",
        "photo",
        ["consignment_id", "kind", "place"],
        unique=True,
        sqlite_where=stands,
        postgresql_where=stands,
    )


def downgrade() -> None:
    """Take it back."""
    for table in ("photo", "quick_look_fruit", "quick_look"):
        op.drop_table(table)


def _voiding() -> list[sa.Column[object]]:
    return [
        sa.Column("voided_at", sa.DateTime(), nullable=True),
        sa.Column("voided_by_id", sa.Integer(), nullable=True),
        sa.Column("void_reason", sa.String(), nullable=False),
    ]


def _void_rules(table: str) -> list[sa.Constraint]:
    return [
        sa.CheckConstraint("(voided_at IS NULL) = (void_reason = '')", name=op.f(f"ck_{table}_void_has_reason")),
        sa.CheckConstraint("(voided_at IS NULL) = (voided_by_id IS NULL)", name=op.f(f"ck_{table}_void_has_person")),
        _to(table, "voided_by_id", "person"),
    ]


def _to(table: str, column: str, target: str) -> sa.ForeignKeyConstraint:
    name = op.f(f"fk_{table}_{column}_{target}")
    return sa.ForeignKeyConstraint([column], [f"{target}.id"], name=name, ondelete="RESTRICT")
